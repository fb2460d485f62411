#include "model/receiver/clock_and_bins.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>

#include "model/base/constants.hpp"
#include "model/receiver/exact_ratio.hpp"

namespace ampturn::model::receiver {

using namespace exact;

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
