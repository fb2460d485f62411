#include "scheduler/rehearse/question/tune_question_output.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "embedded/tune_question.hpp"
#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/tune/tune_output.hpp"

namespace ampturn::rehearse::question {
namespace {

using Json = nlohmann::ordered_json;
using base::brief;
using base::decimals;
using base::json_number;
using base::significant;
using page::html_escaped;

std::string name_of(DwellSetBy by) {
    switch (by) {
        case DwellSetBy::question:
            return "question";
        case DwellSetBy::shortest_dwell:
            return "shortest dwell";
        case DwellSetBy::longest_dwell:
            return "longest dwell";
        case DwellSetBy::heat:
            return "heat";
    }
    return "";
}

struct Line {
    std::string name, before, after;
};

bool two_grounds(const QuestionTuned& tuned) {
    return tuned.plan.question->kind == plan::QuestionKind::two_grounds;
}

std::string percent(double probability) { return decimals(100 * probability, 1) + " %"; }

std::vector<Line> comparison(const QuestionTuned& tuned, const std::optional<QuestionDays>& days) {
    const QuestionSums &b = tuned.before, &a = tuned.after;
    const std::string sure =
        two_grounds(tuned)
            ? fmt::format("told apart with {:g} % confidence", 100 * tuned.plan.question->confidence)
            : fmt::format("known within {:g} m with {:g} % confidence", tuned.plan.question->within_m,
                          100 * tuned.plan.question->confidence);
    std::vector<Line> lines{
        {"one sweep", base::duration_text(b.duration_s), base::duration_text(a.duration_s)},
        {"energy of one sweep, estimated", significant(b.energy_wh, 3) + " Wh",
         significant(a.energy_wh, 3) + " Wh"},
        {two_grounds(tuned) ? "the two grounds lie apart by, sd" : "allowed error over sd of the depth",
         significant(b.distance, 3), significant(a.distance, 3)},
        {sure, percent(b.probability), percent(a.probability)},
        {two_grounds(tuned) ? "better ground is the true one" : "depth lies within the bounds",
         percent(b.probability_right), percent(a.probability_right)}};
    if (!days) return lines;
    const auto add = [&](const char* name, auto text) {
        lines.push_back(
            {name, text(days->before, days->answer_before), text(days->after, days->answer_after)});
    };
    add("day: completed", [](const day::DayResult& d, const station::Answer&) {
        return std::string(d.completed ? "yes" : "no");
    });
    add("day: stations that answer",
        [](const day::DayResult&, const station::Answer& x) { return std::to_string(x.stations.size()); });
    add("day: answered so",
        [](const day::DayResult&, const station::Answer& x) { return percent(x.probability); });
    add("day: required readings that pass", [](const day::DayResult& d, const station::Answer&) {
        return fmt::format("{} of {}", d.passed_count, d.required_count);
    });
    add("day: energy",
        [](const day::DayResult& d, const station::Answer&) { return decimals(d.energy_wh, 1) + " Wh"; });
    return lines;
}

std::string budget_text(const QuestionTuned& tuned) {
    std::string what;
    if (tuned.time_budget_s) what += base::duration_text(*tuned.time_budget_s);
    if (tuned.energy_budget_wh)
        what += (what.empty() ? "" : " and ") + significant(*tuned.energy_budget_wh, 3) + " Wh";
    return fmt::format("One sweep may take {}{}.", what,
                       tuned.own_budget ? ", what it takes now (the plan sets no budget)" : "");
}

std::string verdict(const QuestionTuned& tuned) {
    const std::string data =
        fmt::format("The data of {} stations and {} sweeps, all of them sent.", tuned.stations, tuned.sweeps);
    std::string result = tuned.kept_input ? "The plan's own dwells are kept: none found answers better."
                                          : fmt::format("No dwells within that reach a distance above {} sd.",
                                                        significant(tuned.distance_limit, 4));
    if (!tuned.kept_input && tuned.as_before)
        result += fmt::format(" To answer only as well as before, a sweep of {} and {} Wh would do.",
                              base::duration_text(tuned.as_before->duration_s),
                              significant(tuned.as_before->energy_wh, 3));
    if (const double percent = tuned.plan.receiver.calibration_percent; percent > 0)
        result += fmt::format(
            " Assumed: gains of the sensors, the same at all stations of a set, are known to {:g} % (receiver.calibration_percent); "
            "known exactly, the distance would be {} sd.",
            percent, significant(tuned.distance_with_exact_gains, 3));
    return data + " " + budget_text(tuned) + " " + result;
}

constexpr const char* legend =
    "Nats are information: one nat makes the odds of the true answer e times better. "
    "Alone: with the host known exactly. Lost: what all the others cannot make up for. "
    "Per Wh: lost, over all sweeps. Next Wh: what one more watt-hour spent there would add. "
    "Targets of error and bias are not looked at.";

std::string pair_text(const tune::DwellPair& d) { return brief(d.a_s, 4) + ", " + brief(d.b_s, 4); }

}  // namespace

std::string question_tune_text(const QuestionTuned& tuned, const std::optional<QuestionDays>& days,
                               bool colour) {
    const auto heading = [&](const char* text) {
        return colour ? fmt::format("\n\x1b[1m{}\x1b[0m\n", text) : fmt::format("\n{}\n", text);
    };
    std::string out =
        base::wrapped(tuned.plan.question->text, 100, 0) + base::wrapped(verdict(tuned), 100, 0);
    out += heading("Before and after");
    base::TextTable sums({{""}, {"before", base::CellSide::right}, {"after", base::CellSide::right}});
    for (const Line& line : comparison(tuned, days)) sums.row({{line.name}, {line.before}, {line.after}});
    out += sums.text(100, 2, colour);
    out += heading("What each frequency tells and costs");
    base::TextTable table({{"Hz", base::CellSide::right},
                           {"A, B before s", base::CellSide::right},
                           {"A, B after s", base::CellSide::right},
                           {"alone nats", base::CellSide::right},
                           {"lost nats", base::CellSide::right},
                           {"Wh", base::CellSide::right},
                           {"per Wh", base::CellSide::right},
                           {"next Wh", base::CellSide::right},
                           {"set by"}});
    for (const QuestionFrequency& f : tuned.frequencies)
        table.row({{brief(f.frequency_hz, 5)},
                   {pair_text(f.before)},
                   {pair_text(f.after)},
                   {significant(f.information_nats, 2)},
                   {significant(f.information_loss_nats, 2)},
                   {significant(f.energy_wh_after, 2)},
                   {significant(f.nats_per_wh, 2)},
                   {significant(f.next_nats_per_wh, 2)},
                   {name_of(f.set_by)}});
    return out + table.text(100, 2, colour) + base::wrapped(legend, 100, 2);
}

std::string question_tune_json_text(const QuestionTuned& tuned, const std::optional<QuestionDays>& days) {
    const auto sums = [](const QuestionSums& s) {
        return Json{{"duration_s", json_number(s.duration_s)},
                    {"estimated_energy_wh", json_number(s.energy_wh)},
                    {"distance_sd", json_number(s.distance)},
                    {"probability_confident", json_number(s.probability)},
                    {"probability_right", json_number(s.probability_right)}};
    };
    const auto day = [](const day::DayResult& d, const station::Answer& answer) {
        return Json{{"completed", d.completed},
                    {"passed_count", d.passed_count},
                    {"required_count", d.required_count},
                    {"energy_wh", json_number(d.energy_wh)},
                    {"answering_stations", answer.stations},
                    {"distance_sd", json_number(answer.distance)},
                    {"probability_confident", json_number(answer.probability)},
                    {"probability_right", json_number(answer.probability_right)}};
    };
    Json frequencies = Json::array();
    for (const QuestionFrequency& f : tuned.frequencies)
        frequencies.push_back({{"frequency_hz", json_number(f.frequency_hz)},
                               {"dwell_a_before_s", json_number(f.before.a_s)},
                               {"dwell_b_before_s", json_number(f.before.b_s)},
                               {"dwell_a_s", json_number(f.after.a_s)},
                               {"dwell_b_s", json_number(f.after.b_s)},
                               {"information_alone_nats", json_number(f.information_nats)},
                               {"lost_without_nats", json_number(f.information_loss_nats)},
                               {"cost_s", json_number(f.seconds_after)},
                               {"cost_wh", json_number(f.energy_wh_after)},
                               {"lost_without_nats_per_wh", json_number(f.nats_per_wh)},
                               {"next_nats_per_wh", json_number(f.next_nats_per_wh)},
                               {"set_by", name_of(f.set_by)}});
    const auto budget = [](const std::optional<double>& x) { return x ? json_number(*x) : Json(nullptr); };
    Json all{
        {"schema", "ampturn.tune_for_question"},
        {"schema_version", 1},
        {"version", std::string(base::version())},
        {"git_hash", std::string(base::git_hash())},
        {"plan_path", tuned.plan.source.path},
        {"question", tuned.plan.question->text},
        {"confidence", json_number(tuned.plan.question->confidence)},
        {"stations", tuned.stations},
        {"sweeps", tuned.sweeps},
        {"time_budget_s", budget(tuned.time_budget_s)},
        {"energy_budget_wh", budget(tuned.energy_budget_wh)},
        {"budget_is_own_cost", tuned.own_budget},
        {"kept_input", tuned.kept_input},
        {"distance_limit_sd", json_number(tuned.distance_limit)},
        {"distance_with_exact_gains_sd", json_number(tuned.distance_with_exact_gains)},
        {"as_before_duration_s", tuned.as_before ? json_number(tuned.as_before->duration_s) : Json(nullptr)},
        {"as_before_estimated_energy_wh",
         tuned.as_before ? json_number(tuned.as_before->energy_wh) : Json(nullptr)},
        {"sweep_before", sums(tuned.before)},
        {"sweep_after", sums(tuned.after)}};
    if (days) {
        all["day_before"] = day(days->before, days->answer_before);
        all["day_after"] = day(days->after, days->answer_after);
    }
    all["frequencies"] = std::move(frequencies);
    return base::json_text(all, 1);
}

std::string question_tune_csv(const QuestionTuned& tuned) {
    base::CsvTable csv({"frequency_hz", "dwell_a_before_s", "dwell_b_before_s", "dwell_a_s", "dwell_b_s",
                        "information_alone_nats", "lost_without_nats", "cost_s", "cost_wh",
                        "lost_without_nats_per_wh", "next_nats_per_wh", "set_by"});
    for (const QuestionFrequency& f : tuned.frequencies) {
        csv.cell(f.frequency_hz).cell(f.before.a_s).cell(f.before.b_s).cell(f.after.a_s).cell(f.after.b_s);
        csv.cell(f.information_nats)
            .cell(f.information_loss_nats)
            .cell(f.seconds_after)
            .cell(f.energy_wh_after);
        csv.cell(f.nats_per_wh).cell(f.next_nats_per_wh).cell(name_of(f.set_by)).end_row();
    }
    return csv.text();
}

std::string question_tune_html(const QuestionTuned& tuned, const std::optional<QuestionDays>& days) {
    const plan::Survey& survey = tuned.plan.survey;
    page::HtmlTable sums("", {{""}, {"before", true}, {"after", true}});
    for (const Line& line : comparison(tuned, days)) sums.row({line.name, line.before, line.after});
    page::HtmlTable table("", {{"frequency", true},
                               {"A before s", true},
                               {"B before s", true},
                               {"A after s", true},
                               {"B after s", true},
                               {"alone nats", true},
                               {"lost without it nats", true},
                               {"cost s", true},
                               {"cost Wh", true},
                               {"lost per Wh", true},
                               {"next Wh", true},
                               {"set by"}});
    for (const QuestionFrequency& f : tuned.frequencies)
        table.row({base::frequency_text(f.frequency_hz), brief(f.before.a_s, 4), brief(f.before.b_s, 4),
                   brief(f.after.a_s, 4), brief(f.after.b_s, 4), significant(f.information_nats, 3),
                   significant(f.information_loss_nats, 3), decimals(f.seconds_after, 1),
                   significant(f.energy_wh_after, 3), significant(f.nats_per_wh, 3),
                   significant(f.next_nats_per_wh, 3), name_of(f.set_by)});
    const std::string body = base::filled_template(embedded::tune_question::body(),
                                                   {{"survey", html_escaped(survey.name)},
                                                    {"invented", survey.invented ? page::invented_line : ""},
                                                    {"question", html_escaped(tuned.plan.question->text)},
                                                    {"verdict", html_escaped(verdict(tuned))},
                                                    {"sums", sums.html()},
                                                    {"dwells", table.html()},
                                                    {"legend", html_escaped(legend)},
                                                    {"version", std::string(base::version())},
                                                    {"git_hash", std::string(base::git_hash())}});
    return tune::dwell_page("Dwells for the question of " + survey.name, body,
                            question_tune_json_text(tuned, days));
}

}  // namespace ampturn::rehearse::question
