#include "scheduler/receiver_sheet/clock_discipline.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace ampturn::receiver_sheet {
namespace {

double shortest(const std::vector<double>& dwells_s) {
    const auto least = std::min_element(dwells_s.begin(), dwells_s.end());
    if (least == dwells_s.end() || !(*least > 0)) throw std::invalid_argument("dwells above 0");
    return *least;
}

}  // namespace

ClockCost clock_cost(double offset_s, const std::vector<double>& dwells_s) {
    if (!(offset_s >= 0)) throw std::invalid_argument("offset at least 0");
    const double lost_of_shortest = std::min(1.0, offset_s / shortest(dwells_s));
    const double all_s = std::accumulate(dwells_s.begin(), dwells_s.end(), 0.0);
    const double lost_s =
        std::accumulate(dwells_s.begin(), dwells_s.end(), 0.0,
                        [&](double sum, double dwell) { return sum + std::min(dwell, offset_s); });
    return {.offset_s = offset_s,
            .lost_fraction_of_shortest = lost_of_shortest,
            .lost_fraction = lost_s / all_s,
            .error_bar_factor = 1 / std::sqrt(1 - lost_of_shortest)};
}

double offset_for_loss_s(double fraction, const std::vector<double>& dwells_s) {
    if (!(fraction > 0 && fraction <= 1)) throw std::invalid_argument("a fraction above 0, at most 1");
    return fraction * shortest(dwells_s);
}

double offset_for_a_degree_s(double frequency_hz) {
    if (!(frequency_hz > 0)) throw std::invalid_argument("frequency above 0");
    return 1 / (360 * frequency_hz);
}

}  // namespace ampturn::receiver_sheet
