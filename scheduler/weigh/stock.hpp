#pragma once

#include <optional>
#include <vector>

#include "scheduler/weigh/choices.hpp"

namespace ampturn::weigh {

/// Capacitors of one kind joined: strings of in_series, in_parallel of them.
struct JoinedCapacitor {
    int kind = 0;  // of the stock
    int in_series = 1, in_parallel = 1;
    double capacitance_f = 0;  // C in_parallel / in_series
    double rated_v_peak = 0;
    double kg = 0;
    int parts() const { return in_series * in_parallel; }
};

/// Puts one behind the capacitors the plan has.
void add_capacitor(const JoinedCapacitor& joined, plan::Plan& plan);

/// Peak volts that a string stands when each capacitor lies within +-tolerance of its value: the smallest carries the most,
/// so that the string stands V (1 + (n - 1)(1 - t)/(1 + t)). Closed form; tolerance 0 to below 1.
double rated_in_series_v_peak(double rated_v_peak, int in_series, double tolerance_fraction);

/// All that the stock allows, kind by kind; no more volts than capacitor_v_peak_max (the drive is held to these).
std::vector<JoinedCapacitor> joined_capacitors(const std::vector<StockCapacitor>& stock, const Search& search,
                                               double tolerance_fraction,
                                               std::optional<double> capacitor_v_peak_max);

/// A bank is what the unit can switch to: indices of joined capacitors, rising; the parts of all of them are in stock at once.
using Bank = std::vector<int>;

/// Every bank of at most `positions` of the `allowed` (rising indices of `joined`), the empty one first, in a fixed order;
/// nothing when there are more than `banks_max`.
std::optional<std::vector<Bank>> banks_of(const std::vector<StockCapacitor>& stock,
                                          const std::vector<JoinedCapacitor>& joined,
                                          const std::vector<int>& allowed, int positions,
                                          std::size_t banks_max);

}  // namespace ampturn::weigh
