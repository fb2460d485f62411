#include "scheduler/report/day_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/report/day_names.hpp"
#include "scheduler/report/outcome_text.hpp"
#include "scheduler/report/step_summary.hpp"
#include "scheduler/report/verdict_text.hpp"
#include "scheduler/setup/planning_condition.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::report {

namespace {

constexpr std::size_t page_width = 100;

int ansi_colour(reading::Verdict verdict) {
    switch (verdict) {
        case reading::Verdict::usable:
            return 32;
        case reading::Verdict::noisy:
            return 33;
        case reading::Verdict::transition:
            return 31;
        case reading::Verdict::near_field:
            return 35;
        case reading::Verdict::not_sent:
            return 90;
    }
    return 0;
}

std::string heading(const std::string& text, bool colour) {
    return colour ? fmt::format("\n\x1b[1m{}\x1b[0m\n", text) : fmt::format("\n{}\n", text);
}

std::string title(const day::DayResult& day, bool colour) {
    std::string out =
        fmt::format("{}{}, {}, local time is UTC{:+g} h\n", day.survey_name,
                    day.invented ? " (INVENTED SCENARIO)" : "", date_text(day), day.utc_offset_h);
    if (colour) out = "\x1b[1m" + out.substr(0, out.size() - 1) + "\x1b[0m\n";
    if (!day.survey_note.empty()) out += base::wrapped(day.survey_note, page_width, 2);
    out +=
        base::wrapped(fmt::format("plan {} (CRC-32 {}), table CRC-32 {}, {}, ampturn {} ({})", day.plan_path,
                                  day.plan_crc32, day.table_crc32, setup::made_for_text(day.table_made_for),
                                  base::version(), base::git_hash()),
                      page_width, 2);
    return out;
}

std::string findings(const day::DayResult& day) {
    std::string out;
    int number = 0;
    for (const day::Finding& finding : day.findings)
        out +=
            base::wrapped_item(fmt::format("{:>2}. ", ++number), finding_text(finding, day), page_width, 1);
    return out.empty() ? "  nothing out of the ordinary\n" : out;
}

std::string receiver_crews(const day::DayResult& day, bool colour) {
    base::TextTable table({{"crew"},
                           {"people", base::CellSide::right},
                           {"sets", base::CellSide::right},
                           {"stations"},
                           {"back at"}});
    for (std::size_t c = 0; c < day.receiver_crews.size(); ++c) {
        const day::CrewSummary& crew = day.receiver_crews[c];
        table.row({{crew.name},
                   {std::to_string(crew.people)},
                   {std::to_string(crew.sensor_sets)},
                   {station_names(day, stations_of_crew(day, static_cast<int>(c)))},
                   {back_text(crew)}});
    }
    return table.text(page_width, 2, colour);
}

std::string timeline(const day::DayResult& day, bool colour) {
    base::TextTable table({{"from"}, {"to"}, {"activity"}, {"site"}, {"station"}, {"what"}});
    for (const day::TimelineEntry& e : day.timeline)
        table.row({{base::clock_text(e.start_s)},
                   {base::clock_text(e.end_s)},
                   {std::string(name_of(e.activity))},
                   {site_name(day, e.site_index)},
                   {station_name(day, e.station_index)},
                   {activity_text(e, day)}});
    return table.text(page_width, 2, colour);
}

std::string steps(const day::DayResult& day, bool colour) {
    base::TextTable table({{"step", base::CellSide::right},
                           {"Hz requested", base::CellSide::right},
                           {"Hz actual", base::CellSide::right},
                           {"ppm", base::CellSide::right},
                           {"dwell s", base::CellSide::right},
                           {"turns", base::CellSide::right},
                           {"A peak", base::CellSide::right},
                           {"A m2 peak", base::CellSide::right},
                           {"Wh", base::CellSide::right},
                           {"limited by"}});
    for (const StepSummary& s : step_summaries(day)) {
        std::string limits = limits_text(s);
        if (s.row->mains_clash_order > 0)
            limits += fmt::format("{}in the guard of mains harmonic {}", limits.empty() ? "" : "; ",
                                  s.row->mains_clash_order);
        table.row({{fmt::format("{}{}", s.row->step_number, name_of(s.row->loop))},
                   {base::brief(s.row->requested_hz, 6)},
                   {base::brief(s.row->frequency_hz, 7)},
                   {base::decimals(s.row->error_ppm, 0)},
                   {base::brief(s.row->dwell_s, 4)},
                   {std::to_string(s.row->turns)},
                   {range_text(s.current_a_peak, 3)},
                   {range_text(s.moment_a_m2_peak, 3)},
                   {base::significant(s.mean_energy_wh, 3)},
                   {limits}});
    }
    return table.text(page_width, 2, colour) +
           base::wrapped(
               fmt::format("One sweep: {}. Letter: the loop. Current and moment are peak values of the "
                           "fundamental, lowest to highest over the sweeps; Wh is the mean per sweep.",
                           base::duration_text(day.table_duration_s)),
               page_width, 2);
}

std::string batteries(const day::DayResult& day, bool colour) {
    base::TextTable table({{"battery", base::CellSide::right},
                           {"connected"},
                           {"until"},
                           {"Ah", base::CellSide::right},
                           {"Wh", base::CellSide::right},
                           {"lowest V", base::CellSide::right},
                           {"at"},
                           {"left", base::CellSide::right},
                           {"cut-off"}});
    for (const day::BatteryUse& u : day.batteries)
        table.row({{std::to_string(u.battery_number)},
                   {base::clock_text(u.connected_s)},
                   {base::clock_text(u.disconnected_s)},
                   {base::decimals(u.delivered_ah, 1)},
                   {base::decimals(u.delivered_wh, 0)},
                   {base::decimals(u.lowest_v, 2)},
                   {base::clock_text(u.lowest_v_time_s)},
                   {base::decimals(100 * u.left_fraction, 0) + " %"},
                   {battery_end_text(u, day), u.reached_cut_off ? 31 : 0}});
    return table.text(page_width, 2, colour) +
           fmt::format("  Cut-off at {} V at the terminals. Carried: {}. Needed: {}.\n",
                       base::decimals(day.battery_cut_off_v, 2), day.batteries_carried,
                       batteries_to_carry(day)) +
           base::wrapped(batteries_needed_text(day), page_width, 2);
}

/// Columns of the matrix that fit beside the names; the rest goes into further blocks.
std::string matrix(const day::DayResult& day, bool colour) {
    std::size_t name_width = 7;
    for (const day::StationSummary& s : day.stations)
        name_width = std::max(name_width, base::text_width(s.name));
    name_width = std::min<std::size_t>(name_width, 30);
    const std::vector<std::size_t> order = high_frequencies_first(day);
    const std::size_t count = order.size();
    const std::size_t columns = (page_width - 2 - name_width) / 5;
    std::string out;
    for (std::size_t first = 0; first < count; first += columns) {
        const std::size_t last = std::min(count, first + columns);
        std::string numbers = fmt::format("  {:<{}}", "station", name_width);
        std::string units(2 + name_width, ' ');
        for (std::size_t f = first; f < last; ++f) {
            const double hz = day.frequencies_hz[order[f]];
            const bool kilo = hz >= 1e3;
            numbers += fmt::format("{:>5}", base::significant(hz / (kilo ? 1e3 : 1), 3));
            units += fmt::format("{:>5}", kilo ? "kHz" : "Hz");
        }
        out.append(numbers).append("\n").append(units).append("\n");
        for (std::size_t s = 0; s < day.stations.size(); ++s) {
            const std::string& name = day.stations[s].name;
            out += "  " + name + std::string(name_width - std::min(name_width, base::text_width(name)), ' ');
            for (std::size_t f = first; f < last; ++f) {
                const reading::Reading* j = reading_at(day, static_cast<int>(s), static_cast<int>(order[f]));
                const std::string letter(1, j ? verdict_letter(*j) : ' ');
                out +=
                    "    " + (colour && j ? fmt::format("\x1b[{}m{}\x1b[0m", ansi_colour(j->verdict), letter)
                                          : letter);
            }
            while (out.ends_with(' ')) out.pop_back();
            out += '\n';
        }
    }
    return out + verdict_legend();
}

std::string station_details(const day::DayResult& day, int station_index, bool colour) {
    const day::StationSummary& station = day.stations[static_cast<std::size_t>(station_index)];
    std::string out =
        fmt::format("\n  {}: {} m at {} deg from site {}, {} of {} required readings pass\n", station.name,
                    base::significant(station.offset_m, 4), base::decimals(station.bearing_deg, 0),
                    site_name(day, station.site_index), station.passed_count, station.required_count);
    const auto right = [](const char* header, const char* group = "") {
        return base::TextColumn{header, base::CellSide::right, group};
    };
    base::TextTable table({right("Hz"),
                           right("r/d"),
                           right("Ex", "dB, loop A"),
                           right("Ey", "dB, loop A"),
                           right("Hx", "dB, loop A"),
                           right("Hy", "dB, loop A"),
                           right("Ex", "dB, loop B"),
                           right("Ey", "dB, loop B"),
                           right("Hx", "dB, loop B"),
                           right("Hy", "dB, loop B"),
                           right("xy", "sd %"),
                           right("yx", "sd %"),
                           right("xy", "correlated %"),
                           right("yx", "correlated %"),
                           right("xy", "sd deg"),
                           right("yx", "sd deg"),
                           right("xy", "bias %"),
                           right("yx", "bias %"),
                           right("xy", "bias deg"),
                           right("yx", "bias deg"),
                           {"verdict"}},
                          1);
    std::string reasons;
    for (std::size_t f = 0; f < day.frequencies_hz.size(); ++f) {
        const reading::Reading* j = reading_at(day, station_index, static_cast<int>(f));
        if (j == nullptr) continue;
        std::vector<base::TextCell> cells{{base::brief(j->frequency_hz, 5)},
                                          {base::significant(j->offset_over_skin_depth, 2)}};
        for (const reading::ChannelSnr& snr : {j->snr_a, j->snr_b})
            for (const double ratio : {snr.ex, snr.ey, snr.hx, snr.hy})
                cells.push_back({base::decibel_text(ratio)});
        for (const double value :
             {j->resistivity_sd_xy_percent, j->resistivity_sd_yx_percent,
              j->correlated_resistivity_sd_xy_percent, j->correlated_resistivity_sd_yx_percent,
              j->phase_sd_xy_deg, j->phase_sd_yx_deg, j->bias_xy_percent, j->bias_yx_percent, j->bias_xy_deg,
              j->bias_yx_deg})
            cells.push_back({std::fabs(value) >= 1000
                                 ? base::significant(value, std::fabs(value) >= 1e6 ? 1 : 2)
                                 : base::decimals(value, std::fabs(value) >= 100 ? 0 : 1)});
        cells.push_back(
            {std::string(name_of(j->verdict)) + (j->required ? "" : "*"), ansi_colour(j->verdict)});
        table.row(std::move(cells));
        if (j->verdict != reading::Verdict::usable)
            reasons +=
                base::wrapped_item(fmt::format("{:>9} ", base::frequency_text(j->frequency_hz)),
                                   fmt::format("{}: {}", name_of(j->verdict), j->reason), page_width, 4);
    }
    return out + table.text(page_width, 1, colour) + reasons;
}

std::string cautions(const day::DayResult& day) {
    std::string out;
    for (const day::SiteSummary& s : day.sites) {
        const char* for_the_public = setup::name_of(s.public_decided_by);
        const std::string decides =
            s.public_decided_by == s.occupational_decided_by
                ? fmt::format("the {} field decides both", for_the_public)
                : fmt::format("the {} field decides the first, the {} field the second", for_the_public,
                              setup::name_of(s.occupational_decided_by));
        out += base::wrapped_item(
            "! ",
            fmt::format("site {}: keep people {} m away while sending ({} m for occupational exposure): {}",
                        s.name, setup::safety_figure_text(s.keep_out_public_m),
                        setup::safety_figure_text(s.keep_out_occupational_m), decides),
            page_width, 2);
    }
    for (const std::string& caution : day.cautions) out += base::wrapped_item("! ", caution, page_width, 2);
    return out;
}

}  // namespace

std::string day_text(const day::DayResult& day, TextStyle style) {
    const bool colour = style.colour;
    std::string out = title(day, colour);
    out += heading("What to know first", colour) + findings(day);
    if (!day.receiver_crews.empty()) out += heading("Receiver crews", colour) + receiver_crews(day, colour);
    out += heading("Timeline", colour) + timeline(day, colour);
    out += heading("Steps", colour) + steps(day, colour);
    out += heading("Batteries", colour) + batteries(day, colour);
    out += heading("Verdicts", colour) + matrix(day, colour);
    out += heading("Signal, error bars and bias", colour);
    out +=
        "  r/d: offset over skin depth. dB: signal over noise of each channel, natural field as noise.\n"
        "  sd: one standard deviation of apparent resistivity and phase. bias: against the plane wave.\n"
        "  correlated: sd with the natural field's E and H correlated by the ground; sd counts it as noise\n"
        "  of each by itself, for the tensor an upper limit, and decides.\n"
        "  * not required by the plan.\n";
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        out += station_details(day, static_cast<int>(s), colour);
    out += heading("Cautions", colour) + cautions(day);
    return out;
}

std::string verdict_matrix_text(const day::DayResult& day) { return matrix(day, false); }

std::string day_summary(const day::DayResult& day) {
    const auto whole =
        std::count_if(day.sweeps.begin(), day.sweeps.end(), [](const auto& s) { return s.complete(); });
    std::string out = fmt::format("{}{}, {}\n", day.survey_name, day.invented ? " (invented scenario)" : "",
                                  date_text(day));
    out += fmt::format("  day        {}, over at {}, {} person-hours\n",
                       day.completed ? "completed" : "NOT completed", base::clock_minutes_text(day.end_s),
                       base::decimals(day.person_hours, 1));
    const auto begun = std::count_if(day.sweeps.begin(), day.sweeps.end(),
                                     [](const auto& s) { return !s.complete() && !s.steps.empty(); });
    out += fmt::format("  sweeps     {} sent whole, {} broken off, {} never sent, {} each\n", whole, begun,
                       static_cast<std::ptrdiff_t>(day.sweeps.size()) - whole - begun,
                       base::duration_text(day.table_duration_s));
    if (const auto heard = day::sweeps_heard(day.sweeps); !day.receiver_crews.empty() && !heard.empty())
        out += fmt::format("  listening  {}\n", heard_text(heard));
    out += fmt::format("  readings   {} of {} required ones pass\n", day.passed_count, day.required_count);
    const auto lowest =
        std::min_element(day.batteries.begin(), day.batteries.end(),
                         [](const auto& a, const auto& b) { return lower(a.lowest_v, b.lowest_v); });
    if (lowest != day.batteries.end())
        out += fmt::format("  battery    {} Wh taken, lowest {} V at {} (cut-off {} V)\n",
                           base::decimals(day.energy_wh, 0), base::decimals(lowest->lowest_v, 2),
                           base::clock_minutes_text(lowest->lowest_v_time_s),
                           base::decimals(day.battery_cut_off_v, 2));
    out +=
        fmt::format("  carry      {} (planned: {})\n",
                    batteries_to_carry(day) + (!day.batteries_needed_suffice ? " of batteries carries the day"
                                               : day.batteries_needed == 1   ? " battery"
                                                                             : " batteries"),
                    day.batteries_carried);
    double keep_out_m = 0;
    for (const day::SiteSummary& s : day.sites) keep_out_m = std::max(keep_out_m, s.keep_out_public_m);
    out += fmt::format("  keep out   {} m around the loops while sending; local rules decide\n",
                       setup::safety_figure_text(keep_out_m));
    for (std::size_t i = 0; i < day.findings.size() && i < 3; ++i) {
        out += base::wrapped_item(i == 0 ? "  first      " : "             ",
                                  finding_text(day.findings[i], day), page_width, 0);
    }
    return out;
}

}  // namespace ampturn::report
