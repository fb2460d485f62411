#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "scheduler/day/day_run.hpp"

namespace ampturn::plan {

/// 10, 50 and 90 per cent of the values lie below.
struct Percentiles {
    double p10, p50, p90;
};

/// Linear between order statistics. `values` is not empty and holds no NaN.
Percentiles percentiles(std::vector<double> values);

/// The battery through many draws of one day, on one time grid: time k is start_s + k * battery_grid_step_s.
inline constexpr double battery_grid_step_s = 300;

/// So many draws are followed, the first ones: that bounds the memory (some 10 MB for a day of ten hours),
/// and a percentile of 4000 draws is known to half a per cent of them.
inline constexpr int battery_draws_most = 4000;

/// One draw, up to its last connection; before the first, the first set's charge.
struct BatteryCourse {
    std::vector<double> charge_fraction;  // of the set in use, at the time; held while none is connected
    std::vector<double> lowest_v;         // terminals, since the time before; NaN while not connected
};

/// Puts a day's intervals on the grid: straight lines within an interval.
class BatteryCourseRecorder {
  public:
    explicit BatteryCourseRecorder(double start_s) : start_s_(start_s) {}
    /// In order of time.
    void add(const BatteryInterval& interval);
    BatteryCourse take();

  private:
    double time_s(std::size_t k) const { return start_s_ + battery_grid_step_s * static_cast<double>(k); }

    double start_s_;
    BatteryCourse course_;  // lowest_v may be one longer: the stretch not over yet
    double last_charge_fraction_ = 0;
};

/// Where the draws lie at one time.
struct Spread {
    double lowest, highest;
    Percentiles percentiles;
};

struct BatteryFan {
    int draws = 0;                        // followed
    std::vector<double> time_s;           // local time of day
    std::vector<int> connected;           // draws whose battery was connected since the time before
    std::vector<Spread> charge_fraction;  // of the set in use, over all draws followed
    std::vector<Spread> lowest_v;         // over the connected draws; NaN where there are none
};
/// Depends on the courses only, not on how they were computed. Courses that are empty (no battery ever
/// connected) are left out.
BatteryFan battery_fan(double start_s, const std::vector<BatteryCourse>& courses);

/// As it stands in draws.json and in the report's data.
nlohmann::ordered_json battery_fan_json(const BatteryFan& fan);
/// battery_draws.csv: the fan, a time a row.
std::string battery_fan_csv(const BatteryFan& fan);

}  // namespace ampturn::plan
