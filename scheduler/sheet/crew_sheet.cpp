#include "scheduler/sheet/crew_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <variant>
#include <vector>

#include "embedded/sheet.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/sheet/sheet_parts.hpp"

namespace ampturn::sheet {
namespace {

/// Whether an entry of the timeline is this crew's: what it does, and the sweeps its stations listen to.
bool concerns(const day::DayResult& day, const day::TimelineEntry& entry, int crew) {
    if (const auto* sweep = std::get_if<day::SweepAttempt>(&entry.activity))
        return std::any_of(sweep->listeners.begin(), sweep->listeners.end(), [&](int station) {
            return day.stations[static_cast<std::size_t>(station)].crew_index == crew;
        });
    return report::crew_text(entry, day) == day.receiver_crews[static_cast<std::size_t>(crew)].name &&
           std::visit(
               [](const auto& activity) {
                   if constexpr (requires { activity.crew; }) return activity.crew == day::Crew::receiver;
                   return false;
               },
               entry.activity);
}

std::string entry_rows(const day::DayResult& day, int crew) {
    std::string out;
    for (const day::TimelineEntry& entry : day.timeline)
        if (concerns(day, entry, crew))
            out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>&#9744;</td></tr>\n",
                               base::clock_text(entry.start_s), utc_clock(entry.start_s, day.utc_offset_h),
                               base::clock_text(entry.end_s),
                               page::html_escaped(report::activity_text(entry, day)));
    return out;
}

std::string crew_rows(const plan::Plan& plan, const day::DayResult& day, int crew) {
    const day::CrewSummary& summary = day.receiver_crews[static_cast<std::size_t>(crew)];
    return row("people, sensor sets", fmt::format("{}, {}", summary.people, summary.sensor_sets)) +
           row("stations", report::station_names(day, report::stations_of_crew(day, crew))) +
           row("back at", base::clock_minutes_text(summary.back_s)) +
           row("table",
               fmt::format("{}, checksum {}, one sweep {}", plan.sweep.name.empty() ? "-" : plan.sweep.name,
                           day.table_crc32, base::duration_text(day.table_duration_s)));
}

}  // namespace

std::string crew_pages(const plan::Plan& plan, const day::DayResult& day) {
    std::string out;
    if (day.receiver_crews.size() < 2) return out;
    for (int crew = 0; crew < static_cast<int>(day.receiver_crews.size()); ++crew) {
        const day::CrewSummary& summary = day.receiver_crews[static_cast<std::size_t>(crew)];
        if (std::isnan(summary.back_s)) continue;  // sets up no station
        out += base::filled_template(embedded::sheet::crew(),
                                     {{"survey", page::html_escaped(day.survey_name)},
                                      {"crew", page::html_escaped(summary.name)},
                                      {"date", page::html_escaped(report::date_text(day))},
                                      {"invented", invented_mark(day)},
                                      {"banner", banner(day)},
                                      {"crew_rows", crew_rows(plan, day, crew)},
                                      {"entries", entry_rows(day, crew)}});
    }
    return out;
}

}  // namespace ampturn::sheet
