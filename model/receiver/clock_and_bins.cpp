#include "model/receiver/clock_and_bins.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>

#include "model/base/constants.hpp"

namespace ampturn::model::receiver {

namespace {

__extension__ typedef __int128 Wide;

Wide absolute(Wide v) { return v < 0 ? -v : v; }
Wide common_divisor(Wide a, Wide b) {
    a = absolute(a);
    b = absolute(b);
    while (b != 0) {
        const Wide r = a % b;
        a = b;
        b = r;
    }
    return a;
}
double quotient(Wide n, Wide d) {
    const Wide g = common_divisor(n, d);
    // Both divisions are exact: the ratio in lowest terms.
    const Wide numerator = n / g, denominator = d / g;
    return static_cast<double>(numerator) / static_cast<double>(denominator);
}
Ratio reduced(Wide n, Wide d) {
    const Wide g = common_divisor(n, d);
    return {static_cast<std::int64_t>(n / g), static_cast<std::int64_t>(d / g)};
}
Wide floor_div(Wide n, Wide d) {
    const Wide q = n / d;
    return n % d != 0 && (n < 0) != (d < 0) ? q - 1 : q;
}
// Nearest whole number to n/d, d > 0.
Wide nearest_half_up(Wide n, Wide d) { return floor_div(2 * n + d, 2 * d); }
Wide nearest_half_even(Wide n, Wide d) {
    const Wide up = nearest_half_up(n, d);
    return 2 * (up * d - n) == d && up % 2 != 0 ? up - 1 : up;
}

}  // namespace

std::optional<Ratio> ratio_of_decimal(std::string_view text) {
    std::size_t i = 0;
    const bool negative = !text.empty() && text[0] == '-';
    if (negative || (!text.empty() && text[0] == '+')) ++i;
    Wide digits = 0;
    int exponent = 0;
    int count = 0;
    bool any = false;
    bool point = false;
    for (; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '.' && !point) {
            point = true;
        } else if (c >= '0' && c <= '9') {
            any = true;
            if (digits != 0 || c != '0') ++count;
            if (count > 18) return std::nullopt;
            digits = digits * 10 + (c - '0');
            if (point) --exponent;
        } else {
            break;
        }
    }
    if (!any) return std::nullopt;
    if (i < text.size()) {
        if (text[i] != 'e' && text[i] != 'E') return std::nullopt;
        ++i;
        if (i < text.size() && text[i] == '+') ++i;
        int written = 0;
        const auto [end, error] = std::from_chars(text.data() + i, text.data() + text.size(), written);
        if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
        exponent += written;
    }
    while (exponent < 0 && digits % 10 == 0 && digits != 0) {
        digits /= 10;
        ++exponent;
    }
    if (exponent < -17 || exponent > 17) return std::nullopt;
    Wide scale = 1;
    for (int k = 0; k < std::abs(exponent); ++k) scale *= 10;
    const Wide n = (negative ? -1 : 1) * digits * (exponent > 0 ? scale : 1);
    if (absolute(n) > Wide{1000000000000000000}) return std::nullopt;
    return reduced(n, exponent < 0 ? scale : 1);
}

std::optional<Ratio> ratio_of_double(double value) {
    if (!(std::abs(value) >= 1e-9 && std::abs(value) <= 1e15) && value != 0) return std::nullopt;
    std::array<char, 64> text{};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value).ptr;
    return ratio_of_decimal({text.data(), static_cast<std::size_t>(end - text.data())});
}

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

DivisorChoice nearest_divisor(std::int64_t clock_hz, Ratio target_hz) {
    const Wide half_low = floor_div(Wide{clock_hz} * target_hz.denominator, Wide{target_hz.numerator} * 2);
    const Wide clock = Wide{clock_hz} * target_hz.denominator;
    Wide best = 0;
    double best_error = 0;
    for (Wide half = std::max(half_low, Wide{1}); half <= half_low + 1; ++half) {
        const double error = std::abs(
            quotient(clock - Wide{target_hz.numerator} * 2 * half, Wide{target_hz.numerator} * 2 * half));
        if (best == 0 || error < best_error) {
            best = half;
            best_error = error;
        }
    }
    if (best == 0) best = 1;
    const Wide product = 2 * best;
    return {static_cast<std::int64_t>(product), reduced(clock_hz, product),
            quotient((clock - Wide{target_hz.numerator} * product) * 1000000,
                     Wide{target_hz.numerator} * product)};
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

BinPosition bin_place(Ratio sample_rate_hz, std::int64_t record_length, Ratio f) {
    const Wide n = Wide{f.numerator} * record_length * sample_rate_hz.denominator;
    const Wide d = Wide{f.denominator} * sample_rate_hz.numerator;
    const Wide bin = nearest_half_up(n, d);
    const double offset = quotient(n - bin * d, d);
    const double x = pi * offset;
    const double loss = offset == 0 ? 0.0 : -20 * std::log10(std::sin(x) / x);
    return {
        static_cast<std::int64_t>(bin), offset, offset == 0, loss,
        2 * Wide{f.numerator} * sample_rate_hz.denominator < Wide{sample_rate_hz.numerator} * f.denominator};
}

MainsOffset mains_place(Ratio mains_hz, Ratio f) {
    // Line and mains over one denominator.
    const Wide denominator = Wide{f.denominator} * mains_hz.denominator;
    const Wide line = Wide{f.numerator} * mains_hz.denominator;
    const Wide step = Wide{f.denominator} * mains_hz.numerator;
    const Wide n = std::max(nearest_half_up(line, step), Wide{1});
    const Wide odd = 2 * std::max(nearest_half_even(line - step, 2 * step), Wide{0}) + 1;
    return {static_cast<std::int64_t>(n), quotient(line - n * step, denominator),
            static_cast<std::int64_t>(odd), quotient(line - odd * step, denominator)};
}

}  // namespace ampturn::model::receiver
