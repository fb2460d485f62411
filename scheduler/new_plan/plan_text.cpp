#include "scheduler/new_plan/plan_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "model/receiver/line_placement.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/file/config_keys.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::new_plan {

namespace {

using base::toml_number;
using plan::file::toml_text;

std::string toml_list(const std::vector<double>& numbers) {
    std::string text;
    for (const double number : numbers) text += (text.empty() ? "" : ", ") + toml_number(number);
    return "[" + text + "]";
}

/// Writes lines, and remembers which of the questions behind them were not answered.
class Writer {
  public:
    explicit Writer(const GivenAnswers& given) : given_(given) {}

    void table(const std::string& header) { text_ += fmt::format("\n{}\n", header); }
    void line(const std::string& key, const std::string& toml) {
        text_ += fmt::format("{} = {}\n", key, toml);
    }
    void computed(const std::string& key, const std::string& toml, const std::string& how) {
        text_ += fmt::format("{} = {}  # {}\n", key, toml, how);
    }
    void answer(const std::string& key, const std::string& toml, const std::string& question) {
        text_ +=
            fmt::format("{} = {}{}\n", key, toml,
                        given_.given(question) ? "" : fmt::format("  # default: {} not answered", question));
    }
    void comment(const std::string& words) { text_ += fmt::format("# {}\n", words); }
    const std::string& text() const { return text_; }

  private:
    const GivenAnswers& given_;
    std::string text_;
};

std::string notes_of(const GivenAnswers& given) {
    std::string defaults;
    for (const plan::file::KeyInfo& info : questions().infos())
        if (!given.given(info.name)) defaults += (defaults.empty() ? "" : ", ") + info.name;
    return "Plan made by answers (ampturn new). " + (defaults.empty()
                                                         ? std::string("Every question was answered.")
                                                         : "Not answered, so a default: " + defaults + ".");
}

void write_place(const Answers& answers, const GivenAnswers& given, Writer& out) {
    out.table("[survey]");
    out.line("plan_version", toml_text(plan::plan_version));
    out.answer("name", toml_text(answers.survey_name), "survey_name");
    out.answer("invented", answers.invented ? "true" : "false", "invented");
    out.line("notes", toml_text(notes_of(given)));
    if (answers.date.ok())
        out.line("date", base::date_text(answers.date));
    else
        out.comment("date = 2030-05-17  # date not answered");
    out.answer("utc_offset_h", toml_number(answers.utc_offset_h), "utc_offset_h");
    out.table("[earth]  # layers from the top");
    out.answer("resistivity_ohm_m", toml_list(answers.resistivity_ohm_m), "resistivity_ohm_m");
    if (!answers.thickness_m.empty())
        out.answer("thickness_m", toml_list(answers.thickness_m), "thickness_m");
    out.table("[[site]]");
    out.line("name", "\"T\"");
    if (answers.latitude_longitude_deg.empty()) {
        out.answer("x_m", "0", "latitude_longitude_deg");
        out.line("y_m", "0");
    } else {
        out.line("latitude_deg", toml_number(answers.latitude_longitude_deg[0]));
        out.line("longitude_deg", toml_number(answers.latitude_longitude_deg[1]));
    }
    for (int i = 0; i < answers.station_count; ++i) {
        out.table("[[station]]");
        out.line("name", fmt::format("\"S{:02}\"", i + 1));
        if (i == 0)
            out.answer("offset_m", toml_number(answers.first_offset_m), "first_offset_m");
        else
            out.answer("offset_m", toml_number(answers.first_offset_m + i * answers.station_spacing_m),
                       "station_spacing_m");
        out.answer("bearing_deg", toml_number(answers.line_azimuth_deg), "line_azimuth_deg");
    }
}

void write_loop(const Answers& answers, const char* name, double turned_deg, Writer& out) {
    out.table(fmt::format("[loop.{}]", name));
    out.line("shape", "\"square\"");
    out.answer("side_m", toml_number(answers.loop_side_m), "loop_side_m");
    out.answer("turns", fmt::format("{}", answers.loop_turns), "loop_turns");
    out.computed("wire_area_mm2", "4", "assumed; common practice, no source");
    out.computed("turn_pitch_m", "0.006", "assumed; common practice, no source");
    out.computed("centre_height_m", toml_number(answers.loop_side_m / 2 + 0.5),
                 "stands half a metre above ground");
    out.computed("azimuth_deg", toml_number(std::fmod(answers.line_azimuth_deg + turned_deg, 360.0)),
                 turned_deg == 0 ? "normal along the line of stations" : "at right angles to loop A");
}

void write_equipment(const Answers& answers, Writer& out) {
    write_loop(answers, "a", 0, out);
    write_loop(answers, "b", 90, out);
    out.table("[driver]");
    out.computed("current_limit_a", toml_number(answers.current_a_peak),
                 "rms; the peak that is aimed at leaves room");
    out.table("[battery]");
    const auto chemistry = plan::file::name_of(plan::file::chemistry_words(), answers.battery_chemistry);
    out.answer("chemistry", toml_text(chemistry), "battery_chemistry");
    out.answer("capacity_ah", toml_number(answers.battery_capacity_ah), "battery_capacity_ah");
    out.answer("cells_series", fmt::format("{}", answers.cells()), "battery_cells");
    const double cell_cut_off_v = setup::usual_cut_off_cell_v(answers.battery_chemistry);
    out.computed("cut_off_v", toml_number(cell_cut_off_v * answers.cells()),
                 fmt::format("{} V a cell; common practice, no source", cell_cut_off_v));
    out.answer("sets_carried", fmt::format("{}", answers.battery_sets), "battery_sets");
}

/// Records of a second, so that a bin is 1 Hz; two and a half times the highest frequency at least.
int sample_rate_hz(const Answers& answers) {
    int rate_hz = 1024;
    while (rate_hz < 2.5 * answers.frequency_high_hz) rate_hz *= 2;
    return rate_hz;
}

void write_receiver(const Answers& answers, Writer& out) {
    const int rate_hz = sample_rate_hz(answers);
    out.table("[receiver]");
    out.computed("sample_rate_hz", fmt::format("{}", rate_hz), "at least 2.5 times frequency_high_hz");
    out.computed("record_length", fmt::format("{}", rate_hz), "a second, so that a bin is 1 Hz");
    out.answer("dipole_m", toml_number(answers.dipole_m), "dipole_m");
    out.table("[noise]");
    out.answer("mains_hz", toml_number(answers.mains_hz), "mains_hz");
    out.table("[[day.leg]]");
    out.line("from", "\"base\"");
    out.line("to", "\"T\"");
    out.answer("minutes", toml_number(answers.base_to_site_min), "base_to_site_min");
}

void write_sweep(const Answers& answers, const GivenAnswers& given, Writer& out) {
    plan::Plan asked;  // what the rules of its frequencies need
    asked.receiver.sample_rate_hz = asked.receiver.record_length = sample_rate_hz(answers);
    asked.noise.mains_hz = answers.mains_hz;
    const model::receiver::PlacementRules rules = plan::placement_rules_of(asked);
    std::vector<double> frequencies_hz, dropped_hz;
    for (const auto& line : model::receiver::propose_frequencies(
             rules, answers.frequency_low_hz, answers.frequency_high_hz, answers.frequency_count))
        line.divisor ? frequencies_hz.push_back(line.frequency_hz) : dropped_hz.push_back(line.wanted_hz);
    if (frequencies_hz.empty())
        throw base::InputError(
            {"",
             {},
             "frequency_low_hz",
             fmt::format("{:g} to {:g} Hz without a clean frequency", answers.frequency_low_hz,
                         answers.frequency_high_hz),
             fmt::format("a wider range, away from harmonics of {:g} Hz", answers.mains_hz)});
    out.table("[sweep]");
    out.line("name", "\"first\"");
    out.comment(
        "On the receiver's bins, clear of mains harmonics: as `ampturn frequencies PLAN --propose` finds them.");
    for (const char* question : {"frequency_low_hz", "frequency_high_hz", "frequency_count"})
        if (!given.given(question)) out.comment(fmt::format("default: {} not answered", question));
    for (const double f : dropped_hz) out.comment(fmt::format("nothing clean near {:.6g} Hz: left out", f));
    out.line("frequencies_hz", toml_list(frequencies_hz));
    out.answer("current_a_peak", toml_number(answers.current_a_peak), "current_a_peak");
    out.answer("dwell_s", toml_number(answers.dwell_s), "dwell_s");
}

}  // namespace

std::string plan_text(const GivenAnswers& given) {
    const Answers answers = given.read();
    Writer out(given);
    if (answers.invented) out.comment("INVENTED SCENARIO.");
    out.comment(
        "Plan made by answers: `ampturn new`. Every key: `ampturn explain`. Change what your crew knows better.");
    write_place(answers, given, out);
    write_equipment(answers, out);
    write_sweep(answers, given, out);
    write_receiver(answers, out);
    setup::survey_setup_of(plan::file::parse_plan(out.text(), "the answers together"));
    return out.text();
}

}  // namespace ampturn::new_plan
