#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::base {

/// Numbers as people read them; but for number_in() and toml_number() never for files that programs read. What is not finite is "-".

/// So many significant digits, without exponent between 1e-4 and 1e7: 12345.678, 3 -> "12300".
std::string significant(double value, int digits);
/// The same without zeros at the end: 5.00, 3 -> "5".
std::string brief(double value, int digits);
/// The same with its sign, + too.
std::string signed_brief(double value, int digits);
/// Fixed decimals.
std::string decimals(double value, int count);
/// A frequency with its unit: "800 Hz", "12.29 kHz".
std::string frequency_text(double frequency_hz);
/// A ratio of powers in decibels, no decimals; "-" for zero or less.
std::string decibel_text(double power_ratio);
/// A duration: "45 s", "12 min 30 s", "3 h 05 min".
std::string duration_text(double seconds);
/// Time of day from seconds after midnight, rounded to seconds: "08:03:20"; on later days "+1 d 00:10:00".
std::string clock_text(double seconds_after_midnight);
/// The same without seconds, as a clock shows it: 09:59:59 is "09:59".
std::string clock_minutes_text(double seconds_after_midnight);

/// A checksum as every sheet and file spells it: eight upper-case hexadecimal digits.
std::string crc32_text(std::uint32_t crc);
/// Time since a start, whole seconds begun: "04:59", "1:02:03"; "00:00" before it.
std::string elapsed_text(double seconds);
/// "2030-05-17"; empty for a date that is none.
std::string date_text(std::chrono::year_month_day date);

/// UTC of a local time, ISO 8601 in milliseconds: "2030-05-17T06:12:00.250Z"; of a date that is none "T06:12:00.250Z".
std::string utc_text(std::chrono::year_month_day date, double seconds_after_midnight, double utc_offset_h);

/// Hours of the day, rising, as stretches from and to: 0 1 2 8 22 23 is "08:00 to 09:00 and 22:00 to 03:00";
/// all of them "00:00 to 24:00".
std::string hour_ranges_text(const std::vector<int>& hours);

/// The nearest double of a whole text that is a decimal number: digits with or without a point, an exponent, a minus sign. Too
/// small to hold is 0; nothing for all other texts and what is too large.
std::optional<double> number_in(std::string_view text);

/// A number as TOML: the shortest text that reads back as the same double.
std::string toml_number(double value);

}  // namespace ampturn::base
