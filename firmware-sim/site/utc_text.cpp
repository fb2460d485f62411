#include "firmware-sim/site/utc_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <string_view>

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::site {

std::string utc_text_ms(std::int64_t utc_s, std::uint64_t millisecond) {
    const std::chrono::sys_seconds time{std::chrono::seconds{utc_s}};
    const auto day = std::chrono::floor<std::chrono::days>(time);
    const std::chrono::year_month_day date{day};
    const auto second = (time - day).count();
    return fmt::format("{}T{:02}:{:02}:{:02}.{:03}Z", base::date_text(date), second / 3600, second / 60 % 60,
                       second % 60, millisecond);
}

bool parse_utc(const std::string& text, std::int64_t& utc_s) {
    constexpr std::string_view form = "0000-00-00T00:00:00Z";
    const auto fits = [](char given, char wanted) {
        return wanted == '0' ? given >= '0' && given <= '9' : given == wanted;
    };
    if (!std::equal(text.begin(), text.end(), form.begin(), form.end(), fits)) return false;
    int year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0;
    std::sscanf(text.c_str(), "%4d-%2d-%2dT%2d:%2d:%2dZ", &year, &month, &day, &hour, &minute, &second);
    const std::chrono::year_month_day date{std::chrono::year{year},
                                           std::chrono::month{static_cast<unsigned>(month)},
                                           std::chrono::day{static_cast<unsigned>(day)}};
    const bool good = date.ok() && year >= 1970 && hour < 24 && minute < 60 && second < 60;
    if (!good) return false;
    utc_s = std::chrono::sys_days{date}.time_since_epoch().count() * 86400LL + hour * 3600LL + minute * 60LL +
            second;
    return true;
}

}  // namespace ampturn::sim::site
