#include "model/receiver/ratio.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string_view>

namespace ampturn::model::receiver {

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

Wide nearest_half_up(Wide n, Wide d) { return floor_div(2 * n + d, 2 * d); }

namespace {

// A decimal as written ("2154.43", "1e3", "-0.5"); nullopt when it is none or needs more than 18 digits.
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

}  // namespace

std::optional<Ratio> ratio_of_double(double value) {
    if (!(std::abs(value) >= 1e-9 && std::abs(value) <= 1e15) && value != 0) return std::nullopt;
    // The shortest decimal that is read as this double: with 15 digits every decimal of so many comes back, more are only tried
    // where it was none.
    std::array<char, 32> text{};
    for (int digits = 15; digits <= 17; ++digits) {
        std::snprintf(text.data(), text.size(), "%.*e", digits - 1, value);
        if (std::strtod(text.data(), nullptr) == value) break;
    }
    return ratio_of_decimal(text.data());
}

}  // namespace ampturn::model::receiver
