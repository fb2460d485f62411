#include "scheduler/reference/clocks.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::reference {

using model::receiver::absolute;
using model::receiver::common_divisor;
using model::receiver::floor_div;
using model::receiver::nearest_half_up;
using model::receiver::quotient;
using model::receiver::Ratio;
using model::receiver::reduced;
using model::receiver::Wide;

namespace {

Wide nearest_half_even(Wide n, Wide d) {
    const Wide up = nearest_half_up(n, d);
    return 2 * (up * d - n) == d && up % 2 != 0 ? up - 1 : up;
}

}  // namespace

TimerChoice nearest_timer(std::int64_t clock_hz, std::int64_t prescaler_max, std::int64_t period_max,
                          std::int64_t toggle, Ratio target_hz) {
    // |clock/(t p n) - f| = |clock fd - fn t p n|/(t p n fd); compared by cross-multiplying.
    const Wide clock = Wide{clock_hz} * target_hz.denominator;
    TimerChoice best{0, 0, {0, 1}, 0};
    Wide best_error = 0, best_product = 0;
    const auto consider = [&](std::int64_t prescaler, Wide period) {
        period = std::clamp(period, Wide{2}, Wide{period_max});
        const Wide product = Wide{toggle} * prescaler * period;
        const Wide error = absolute(clock - Wide{target_hz.numerator} * product);
        // error/product < best_error/best_product, in doubles first: exact only where they are close.
        if (best_product != 0) {
            const double here = static_cast<double>(error) / static_cast<double>(product);
            const double there = static_cast<double>(best_error) / static_cast<double>(best_product);
            if (here > there * (1 + 1e-12)) return;
            if (here >= there * (1 - 1e-12)) {
                const Wide g = common_divisor(product, best_product);
                if (error * (best_product / g) >= best_error * (product / g)) return;
            }
        }
        best.prescaler = prescaler;
        best.period = static_cast<std::int64_t>(period);
        best_error = error;
        best_product = product;
    };
    for (std::int64_t prescaler = 1; prescaler <= prescaler_max; ++prescaler) {
        const Wide low = floor_div(clock, Wide{target_hz.numerator} * toggle * prescaler);
        consider(prescaler, low);
        consider(prescaler, low + 1);
        if (best_error == 0 || low < 1) break;
    }
    best.frequency_hz = reduced(clock_hz, best_product);
    best.error_ppm = quotient((clock - Wide{target_hz.numerator} * best_product) * 1000000,
                              Wide{target_hz.numerator} * best_product);
    return best;
}

AccumulatorChoice nearest_accumulator(std::int64_t clock_hz, int bits, Ratio target_hz) {
    const Wide turns = Wide{1} << bits;
    const Wide down = Wide{target_hz.denominator} * clock_hz;
    const Wide word = floor_div(2 * Wide{target_hz.numerator} * turns + down, 2 * down);
    const Wide error = word * down - Wide{target_hz.numerator} * turns;  // over turns * denominator
    return {
        static_cast<std::int64_t>(word), quotient(word * clock_hz, turns),
        static_cast<double>(error) / static_cast<double>(turns) / static_cast<double>(target_hz.denominator),
        1e6 * static_cast<double>(error) /
            (static_cast<double>(turns) * static_cast<double>(target_hz.numerator))};
}

DwellCycles cycles_in_dwell(Ratio dwell_s, Ratio f) {
    const Wide n = Wide{dwell_s.numerator} * f.numerator;
    const Wide d = Wide{dwell_s.denominator} * f.denominator;
    const Wide whole = floor_div(n, d);
    const Wide next = whole * d == n ? whole : whole + 1;
    return {static_cast<std::int64_t>(whole),
            quotient(n - whole * d, Wide{dwell_s.denominator} * f.numerator),
            quotient(whole * f.denominator, f.numerator), quotient(next * f.denominator, f.numerator)};
}

double rectangular_scalloping_db(double offset_bins) {
    const double x = model::pi * offset_bins;
    return offset_bins == 0 ? 0.0 : -20 * std::log10(std::sin(x) / x);
}

bool below_nyquist(Ratio sample_rate_hz, Ratio f) {
    return 2 * Wide{f.numerator} * sample_rate_hz.denominator <
           Wide{sample_rate_hz.numerator} * f.denominator;
}

OddMainsOffset odd_mains_place(Ratio mains_hz, Ratio f) {
    const Wide denominator = Wide{f.denominator} * mains_hz.denominator;
    const Wide line = Wide{f.numerator} * mains_hz.denominator;
    const Wide step = Wide{f.denominator} * mains_hz.numerator;
    const Wide odd = 2 * std::max(nearest_half_even(line - step, 2 * step), Wide{0}) + 1;
    return {static_cast<std::int64_t>(odd), quotient(line - odd * step, denominator)};
}

}  // namespace ampturn::reference
