#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/sheet/field_sheet.hpp"

namespace ampturn::sheet {

namespace {

/// TEXT of RFC 5545, 3.3.11.
std::string escaped(const std::string& text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\' || c == ';' || c == ',') out += '\\';
        if (c == '\n')
            out += "\\n";
        else if (static_cast<unsigned char>(c) >= 0x20)
            out += c;
    }
    return out;
}

/// A content line folded to 75 octets without cutting a UTF-8 sequence (RFC 5545, 3.1).
std::string folded(const std::string& line) {
    std::string out;
    std::size_t width = 0;
    for (std::size_t i = 0; i < line.size();) {
        std::size_t length = 1;
        while (i + length < line.size() && (static_cast<unsigned char>(line[i + length]) & 0xC0) == 0x80)
            ++length;
        if (width + length > 75) {
            out += "\r\n ";
            width = 1;
        }
        out.append(line, i, length);
        width += length;
        i += length;
    }
    return out + "\r\n";
}

std::string utc_stamp(const plan::Plan& plan, double local_s) {
    using namespace std::chrono;
    const auto at =
        sys_days{plan.survey.date} + seconds{std::llround(local_s - 3600 * plan.survey.utc_offset_h)};
    const auto day = floor<days>(at);
    const year_month_day date{day};
    const hh_mm_ss time{at - day};
    return fmt::format("{:04}{:02}{:02}T{:02}{:02}{:02}Z", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       time.hours().count(), time.minutes().count(), time.seconds().count());
}

}  // namespace

std::string calendar_text(const plan::Plan& plan, const day::DayResult& day) {
    if (!plan.survey.date.ok())
        throw plan.error("survey.date", "nothing", "the day of the survey, to put it in a calendar");
    std::string out = folded("BEGIN:VCALENDAR") + folded("VERSION:2.0") +
                      folded(fmt::format("PRODID:-//ampturn//{}//EN", base::version())) +
                      folded("CALSCALE:GREGORIAN");
    int number = 0;
    for (const day::TimelineEntry& e : day.timeline) {
        std::string summary(name_of(e.activity));
        std::replace(summary.begin(), summary.end(), '_', ' ');
        const auto* sweep = std::get_if<day::SweepAttempt>(&e.activity);
        const std::string station = sweep != nullptr ? report::station_names(day, sweep->listeners)
                                                     : report::station_name(day, e.station_index),
                          site = report::site_name(day, e.site_index);
        if (!station.empty())
            summary += ": " + station;
        else if (!site.empty())
            summary += ": " + site;
        out += folded("BEGIN:VEVENT");
        // Days of one plan share its checksums.
        const std::string which = plan.survey_days.empty() ? "" : day.date + "-";
        out += folded(
            fmt::format("UID:{}-{}-{}{}@ampturn.invalid", day.plan_crc32, day.table_crc32, which, ++number));
        // No clock is read, so the stamp is the start of the day itself: same plan, same bytes.
        out += folded("DTSTAMP:" + utc_stamp(plan, 0));
        out += folded("DTSTART:" + utc_stamp(plan, e.start_s)) +
               folded("DTEND:" + utc_stamp(plan, std::max(e.end_s, e.start_s + 1)));
        out += folded("SUMMARY:" + escaped(summary));
        if (!site.empty()) out += folded("LOCATION:" + escaped(site));
        out += folded("DESCRIPTION:" + escaped((day.invented ? "Invented scenario. " : "") + day.survey_name +
                                               ". " + report::activity_text(e, day)));
        out += folded("END:VEVENT");
    }
    return out + folded("END:VCALENDAR");
}

}  // namespace ampturn::sheet
