#include "scheduler/base/number_text.hpp"

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace ampturn::base {

namespace {

constexpr long long day_s = 86'400;

/// Days after the first and seconds in the day, of a whole number of seconds that may be negative.
std::string with_day(long long total_s, bool with_seconds) {
    long long days = total_s / day_s;
    long long rest_s = total_s % day_s;
    if (rest_s < 0) {
        rest_s += day_s;
        --days;
    }
    std::string text = days == 0 ? "" : fmt::format("{:+} d ", days);
    fmt::format_to(std::back_inserter(text), "{:02}:{:02}", rest_s / 3600, rest_s / 60 % 60);
    if (with_seconds) fmt::format_to(std::back_inserter(text), ":{:02}", rest_s % 60);
    return text;
}

}  // namespace

std::string significant(double value, int digits) {
    if (!std::isfinite(value)) return "-";
    if (value == 0) return "0";
    // The exponent after rounding: 9.996 to three digits is 10.0.
    const std::string scientific = fmt::format("{:.{}e}", value, digits - 1);
    const int exponent = std::stoi(scientific.substr(scientific.find('e') + 1));
    if (exponent < -4 || exponent >= 7) return fmt::format("{:.{}g}", value, digits);
    if (exponent + 1 >= digits) {
        const double unit = std::pow(10.0, exponent + 1 - digits);
        return fmt::format("{:.0f}", std::round(value / unit) * unit);
    }
    return fmt::format("{:.{}f}", value, digits - 1 - exponent);
}

std::string brief(double value, int digits) {
    std::string text = significant(value, digits);
    if (text.find('.') == std::string::npos || text.find('e') != std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
    return text;
}

std::string signed_brief(double value, int digits) { return (value > 0 ? "+" : "") + brief(value, digits); }

std::string decimals(double value, int count) {
    if (!std::isfinite(value)) return "-";
    std::string text = fmt::format("{:.{}f}", value, count);
    if (text.starts_with('-') && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
    return text;
}

std::string frequency_text(double frequency_hz) {
    if (!std::isfinite(frequency_hz)) return "-";
    if (std::fabs(frequency_hz) >= 1e6) return fmt::format("{:.4g} MHz", frequency_hz / 1e6);
    if (std::fabs(frequency_hz) >= 1e3) return fmt::format("{:.4g} kHz", frequency_hz / 1e3);
    return fmt::format("{:.4g} Hz", frequency_hz);
}

std::string decibel_text(double power_ratio) {
    if (!std::isfinite(power_ratio) || power_ratio <= 0) return "-";
    return decimals(10 * std::log10(power_ratio), 0);
}

std::string duration_text(double seconds) {
    if (!std::isfinite(seconds)) return "-";
    const long long whole_s = std::llround(seconds);
    if (whole_s < 120) return fmt::format("{} s", brief(seconds, 3));
    if (whole_s < 7200) {
        if (whole_s % 60 == 0) return fmt::format("{} min", whole_s / 60);
        return fmt::format("{} min {:02} s", whole_s / 60, whole_s % 60);
    }
    const long long whole_min = std::llround(seconds / 60);
    return fmt::format("{} h {:02} min", whole_min / 60, whole_min % 60);
}

std::string clock_text(double seconds_after_midnight) {
    if (!std::isfinite(seconds_after_midnight)) return "-";
    return with_day(std::llround(seconds_after_midnight), true);
}

std::string clock_minutes_text(double seconds_after_midnight) {
    if (!std::isfinite(seconds_after_midnight)) return "-";
    return with_day(static_cast<long long>(std::floor(seconds_after_midnight / 60)) * 60, false);
}

std::string crc32_text(std::uint32_t crc) { return fmt::format("{:08X}", crc); }
std::string elapsed_text(double seconds) {
    const auto whole_s = static_cast<long long>(std::floor(std::max(0.0, seconds)));
    const long long hours = whole_s / 3600, minutes = whole_s / 60 % 60, rest_s = whole_s % 60;
    return hours > 0 ? fmt::format("{}:{:02}:{:02}", hours, minutes, rest_s)
                     : fmt::format("{:02}:{:02}", minutes, rest_s);
}

std::string date_text(std::chrono::year_month_day date) {
    if (!date.ok()) return "";
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

std::string utc_text(std::chrono::year_month_day date, double seconds_after_midnight, double utc_offset_h) {
    using namespace std::chrono;
    const auto at = (date.ok() ? sys_days{date} : sys_days{}) +
                    milliseconds{std::llround(1e3 * (seconds_after_midnight - 3600 * utc_offset_h))};
    const auto day = floor<days>(at);
    const hh_mm_ss time{at - day};
    return fmt::format("{}T{:02}:{:02}:{:02}.{:03}Z", date.ok() ? date_text(year_month_day{day}) : "",
                       time.hours().count(), time.minutes().count(), time.seconds().count(),
                       time.subseconds().count());
}

std::string hour_ranges_text(const std::vector<int>& hours) {
    struct Stretch {
        int from, past;
    };
    std::vector<Stretch> stretches;
    for (const int hour : hours) {
        if (!stretches.empty() && stretches.back().past == hour)
            ++stretches.back().past;
        else
            stretches.push_back({hour, hour + 1});
    }
    // A stretch through midnight is one.
    if (stretches.size() > 1 && stretches.front().from == 0 && stretches.back().past == 24) {
        stretches.back().past = stretches.front().past;
        stretches.erase(stretches.begin());
    }
    std::string out;
    for (const Stretch& s : stretches)
        out += fmt::format("{}{:02}:00 to {:02}:00", out.empty() ? "" : " and ", s.from, s.past);
    return out;
}

std::optional<double> number_in(std::string_view text) {
    double value = 0;
    const auto read = fast_float::from_chars(text.data(), text.data() + text.size(), value);
    if (read.ec == std::errc::invalid_argument || read.ptr != text.data() + text.size() ||
        !std::isfinite(value))
        return std::nullopt;
    return value;
}

std::string toml_number(double value) {
    std::string text = fmt::format("{}", value);  // shortest text that reads back as the same double
    if (text.size() > 2 && text.ends_with(".0")) text.resize(text.size() - 2);
    return text;
}

}  // namespace ampturn::base
