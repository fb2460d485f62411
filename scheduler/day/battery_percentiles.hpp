#pragma once

#include <cstddef>
#include <vector>

#include "scheduler/day/day_run.hpp"

namespace ampturn::day {

/// 10, 50 and 90 per cent of the values lie below.
struct Percentiles {
    double p10, p50, p90;
};

/// Linear between order statistics. `values` is not empty and holds no NaN.
Percentiles percentiles(std::vector<double> values);

/// The battery through many runs of one day, on one time grid: time k is start_s + k * battery_grid_step_s.
inline constexpr double battery_grid_step_s = 300;

/// So many runs are followed, the first ones: that bounds the memory (some 10 MB for a day of ten hours),
/// and a percentile of 4000 runs is known to half a per cent of them.
inline constexpr int battery_runs_most = 4000;

/// One run, up to its last connection; before the first, the first set's charge.
struct BatteryTrace {
    std::vector<double> charge_fraction;  // of the set in use, at the time; held while none is connected
    std::vector<double> lowest_v;         // terminals, since the time before; NaN while not connected
};

/// Puts a day's intervals on the grid: straight lines within an interval.
class BatteryTraceRecorder {
  public:
    explicit BatteryTraceRecorder(double start_s) : start_s_(start_s) {}
    /// In order of time.
    void add(const BatteryInterval& interval);
    BatteryTrace take();

  private:
    double time_s(std::size_t k) const { return start_s_ + battery_grid_step_s * static_cast<double>(k); }

    double start_s_;
    BatteryTrace trace_;  // lowest_v may be one longer: the stretch not over yet
    double last_charge_fraction_ = 0;
};

/// Where the runs lie at one time.
struct Spread {
    double lowest, highest;
    Percentiles percentiles;
};

struct BatteryPercentiles {
    int runs = 0;                         // followed
    std::vector<double> time_s;           // local time of day
    std::vector<int> connected;           // runs whose battery was connected since the time before
    std::vector<Spread> charge_fraction;  // of the set in use, over all runs followed
    std::vector<Spread> lowest_v;         // over the connected runs; NaN where there are none
};
/// Depends on the traces only, not on how they were computed. Traces that are empty (no battery ever
/// connected) are left out.
BatteryPercentiles battery_percentiles(double start_s, const std::vector<BatteryTrace>& traces);

}  // namespace ampturn::day
