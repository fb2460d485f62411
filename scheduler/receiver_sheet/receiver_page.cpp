#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "embedded/receiver_page.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/receiver_sheet/clock_discipline.hpp"
#include "scheduler/receiver_sheet/receiver_output.hpp"
#include "scheduler/report/day_names.hpp"

namespace ampturn::receiver_sheet {
namespace {

using base::brief;
using base::significant;

class Page {
  public:
    Page(const plan::Plan& plan, const day::DayResult& day, const CrewSchedule& crew)
        : plan_(plan), day_(day), crew_(crew) {}

    std::string html() const {
        const std::string heading = crew_.name.empty() ? "Receiver crew" : "Receiver crew " + crew_.name;
        return base::filled_template(
            embedded::receiver_page::body(),
            {{"title", page::html_escaped(heading + ": " + day_.survey_name)},
             {"style", std::string(embedded::receiver_page::style())},
             {"heading", page::html_escaped(heading)},
             {"invented", day_.invented ? " <span class=\"invented\">INVENTED SCENARIO</span>" : ""},
             {"survey", page::html_escaped(day_.survey_name)},
             {"date", page::html_escaped(report::date_text(day_))},
             {"offset", base::signed_brief(day_.utc_offset_h, 4)},
             {"stations", stations()},
             {"gain", gain()},
             {"first_record", page::list_items(first_record())},
             {"clock", page::html_escaped(clock_words())},
             {"clock_table", clock_table()},
             {"cautions", page::list_items(day_.cautions)},
             {"steps", steps()},
             {"version", page::html_escaped(base::version())},
             {"git_hash", page::html_escaped(base::git_hash())},
             {"plan_crc32", day_.plan_crc32},
             {"table_crc32", day_.table_crc32}});
    }

  private:
    /// Time of day alone, to a tenth of a second, or to the minute.
    std::string utc(double local_s, std::size_t length = 10) const {
        if (std::isnan(local_s)) return "-";
        const std::string text = base::utc_text(plan_.survey.date, local_s, day_.utc_offset_h);
        return text.substr(text.find('T') + 1, length);
    }
    std::string name(const ListenedStation& station) const {
        return report::station_name(day_, station.station_index);
    }

    std::string stations() const {
        page::HtmlTable table("In the order of the day", {{"station"},
                                                          {"site"},
                                                          {"set up from", true},
                                                          {"ready by", true},
                                                          {"sweeps begin"},
                                                          {"leave by", true}});
        for (const ListenedStation& s : crew_.stations) {
            std::string sweeps;
            for (const ListenedSweep& sweep : s.sweeps)
                sweeps += fmt::format("{}{}{}", sweeps.empty() ? "" : ", ", utc(sweep.start_s, 8),
                                      sweep.whole ? "" : " (broken off)");
            if (sweeps.empty()) sweeps = "NOT SENT: " + s.not_sent;
            table.row(
                {name(s),
                 report::site_name(day_, day_.stations[static_cast<std::size_t>(s.station_index)].site_index),
                 utc(s.arrives_s, 5), utc(s.ready_s, 5), sweeps, utc(s.leaves_s, 5)});
        }
        return table.html();
    }

    static std::string advice(const RangeUse& use, const char* unit) {
        if (!(use.peak > 0)) return "nothing to go by";
        if (use.clips())
            return fmt::format("CLIPS: at least {} {} of full scale", brief(use.full_scale_least, 2), unit);
        if (use.tight())
            return fmt::format("tight: {} {} of full scale would leave room", brief(use.full_scale_least, 2),
                               unit);
        return fmt::format("up to {} times more gain", brief(use.gain_most(), 4));
    }

    std::string gain() const {
        page::HtmlTable table("Peaks at the converter against its range in the plan", {{"station"},
                                                                                       {"E V", true},
                                                                                       {"range V", true},
                                                                                       {"E advice"},
                                                                                       {"B nT", true},
                                                                                       {"range nT", true},
                                                                                       {"B advice"}});
        for (const ListenedStation& s : crew_.stations) {
            if (s.sweeps.empty()) continue;
            table.row({name(s), significant(s.e_v.peak, 2), brief(s.e_v.full_scale, 3), advice(s.e_v, "V"),
                       significant(s.b_nt.peak, 2), brief(s.b_nt.full_scale, 3), advice(s.b_nt, "nT")});
        }
        return table.html();
    }

    std::vector<std::string> first_record() const {
        std::vector<std::string> out;
        for (const ListenedStation& s : crew_.stations) {
            if (s.sweeps.empty() || s.sweeps.front().steps.empty()) continue;
            const ArrivingStep& step = s.sweeps.front().steps.front();
            out.push_back(fmt::format(
                "{}, step {} at {} UTC: {} with loop {}, a line of {} uV peak in E and {} pT in B, {} and {} dB above the noise "
                "of one record of {} s. Less than half or more than double: look for the cause before the second step.",
                name(s), step.step_number, utc(step.start_s, 8), base::frequency_text(step.frequency_hz),
                name_of(step.loop), significant(1e6 * step.line_e_v, 2), significant(1e3 * step.line_b_nt, 2),
                base::decibel_text(step.e_snr_one_record), base::decibel_text(step.b_snr_one_record),
                brief(step.record_s, 3)));
        }
        out.push_back(
            "No channel sits on its rail and none is dead: touch no electrode wire, look at the record.");
        out.push_back(
            "Contact resistance has been measured and written down; it is near what the plan says.");
        out.push_back(
            "The line stands in its bin: one bin off means that the sample clock or the sender's table is another.");
        return out;  // common practice, no source
    }

    std::vector<double> dwells_s() const {
        std::vector<double> out;
        for (const setup::TableRow& row : day_.table) out.push_back(row.dwell_s);
        return out;
    }
    double highest_hz() const {
        return *std::max_element(day_.frequencies_hz.begin(), day_.frequencies_hz.end());
    }

    std::string clock_words() const {
        const std::vector<double> all = dwells_s();
        return fmt::format(
            "Set the clock by satellite time before the first sweep and look again at noon. A receiver that records by this "
            "schedule loses what lies outside its window: the shortest dwell is {} s, of which {} s is a tenth. E and H of a station "
            "share its clock, so impedances keep their phase; a phase against the sender's does not: at {} it turns by a degree in {} us.",
            brief(*std::min_element(all.begin(), all.end()), 4), brief(offset_for_loss_s(0.1, all), 3),
            base::frequency_text(highest_hz()), significant(1e6 * offset_for_a_degree_s(highest_hz()), 2));
    }

    std::string clock_table() const {
        page::HtmlTable table("Offset of the clock", {{"offset s", true},
                                                      {"lost of the shortest step %", true},
                                                      {"lost of all %", true},
                                                      {"its error bars times", true}});
        const std::vector<double> all = dwells_s();
        for (const double offset_s : told_offsets_s) {
            const ClockCost cost = clock_cost(offset_s, all);
            table.row({brief(offset_s, 3), brief(100 * cost.lost_fraction_of_shortest, 3),
                       brief(100 * cost.lost_fraction, 3), brief(cost.error_bar_factor, 4)});
        }
        return table.html();
    }

    std::string steps() const {
        std::string out;
        for (const ListenedStation& s : crew_.stations)
            for (const ListenedSweep& sweep : s.sweeps) {
                page::HtmlTable table(fmt::format("{}, sweep {}: {} to {} UTC", name(s), sweep.sweep_number,
                                                  utc(sweep.start_s, 8), utc(sweep.end_s, 8)),
                                      {{"step", true},
                                       {"loop"},
                                       {"starts UTC", true},
                                       {"Hz", true},
                                       {"dwell s", true},
                                       {"records", true},
                                       {"E uV", true},
                                       {"B pT", true},
                                       {"E dB", true},
                                       {"B dB", true}});
                for (const ArrivingStep& step : sweep.steps)
                    table.row({std::to_string(step.step_number), name_of(step.loop), utc(step.start_s),
                               significant(step.frequency_hz, 6), brief(step.dwell_s, 4),
                               fmt::format("{} of {} s", step.whole_records, brief(step.record_s, 3)),
                               significant(1e6 * step.line_e_v, 2), significant(1e3 * step.line_b_nt, 2),
                               base::decibel_text(step.e_snr_one_record),
                               base::decibel_text(step.b_snr_one_record)});
                out += fmt::format("<section>\n<h2>{}</h2>\n{}</section>\n", page::html_escaped(name(s)),
                                   table.html());
            }
        return out;
    }

    const plan::Plan& plan_;
    const day::DayResult& day_;
    const CrewSchedule& crew_;
};

}  // namespace

std::string receiver_page(const plan::Plan& plan, const day::DayResult& day, const CrewSchedule& crew) {
    return Page(plan, day, crew).html();
}

}  // namespace ampturn::receiver_sheet
