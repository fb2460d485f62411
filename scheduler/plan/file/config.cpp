#include "scheduler/plan/file/config.hpp"

#include <fmt/format.h>

#include <span>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/core/crc32.hpp"
#include "scheduler/plan/beside/areas_and_heights.hpp"
#include "scheduler/plan/beside/natural_spectrum.hpp"
#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/file/config_keys.hpp"
#include "scheduler/plan/night_shift.hpp"

namespace ampturn::plan::file {

namespace {

void add_positions(const Value& value, const std::string& key, KeyPositions& positions) {
    if (const auto* table = std::get_if<Value::Table>(&value.data)) {
        for (const Member& member : *table) {
            const std::string member_key = key.empty() ? member.name : key + "." + member.name;
            positions.add(member_key, member.value.position);
            add_positions(member.value, member_key, positions);
        }
    } else if (const auto* list = std::get_if<Value::List>(&value.data)) {
        for (std::size_t i = 0; i < list->size(); ++i) {
            const std::string entry_key = fmt::format("{}[{}]", key, i + 1);
            positions.add(entry_key, (*list)[i].position);
            add_positions((*list)[i], entry_key, positions);
        }
    }
}

SourceFile source_of(std::string_view text, const std::string& path) {
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text.data());
    return {path, text.size(), core::crc32(std::span(bytes, text.size()))};
}

Question expand_question(const QuestionInput& input, Refusals& refusals) {
    Question question{.text = input.text,
                      .kind = input.kind,
                      .with_target = {},
                      .interface = input.interface,
                      .within_m = input.within_m,
                      .confidence = input.confidence,
                      .stations = input.stations};
    if (input.with_target)
        question.with_target = expand_ground(*input.with_target, "question.with_target", refusals);
    return question;
}

/// A file of another version has other keys: one line instead of what each of them seems to be.
void refuse_other_version(const Value& root, Problems& problems) {
    const auto* tables = std::get_if<Value::Table>(&root.data);
    const Value* survey = tables != nullptr ? tree::find_member(*tables, "survey") : nullptr;
    const auto* keys = survey != nullptr ? std::get_if<Value::Table>(&survey->data) : nullptr;
    const Value* version = keys != nullptr ? tree::find_member(*keys, "plan_version") : nullptr;
    if (version == nullptr) return;
    const auto* text = std::get_if<std::string>(&version->data);
    if (text != nullptr && *text == plan_version) return;
    problems.add(*version, "survey.plan_version", tree::describe_found(*version),
                 fmt::format("\"{}\", the version this program reads", plan_version));
    problems.throw_if_any();
}

}  // namespace

KeyPositions positions_of(const Value& root) {
    KeyPositions positions;
    add_positions(root, "", positions);
    return positions;
}

Plan parse_plan(std::string_view text, const std::string& path, const std::vector<Setting>& settings) {
    Value root = parse_toml(text, path);
    for (const Setting& setting : settings) apply_setting(root, setting);

    Problems problems(path);
    refuse_other_version(root, problems);
    PlanInput input;
    plan_keys().read(root, "", input, problems);
    problems.throw_if_any();

    Plan plan;
    plan.source = source_of(text, path);
    plan.positions = positions_of(root);
    Refusals refusals(plan.positions, problems);
    plan.survey = input.survey;
    plan.earth = expand_ground(input.earth, "earth", refusals);
    plan.grounds = expand_grounds(input.grounds, refusals);
    plan.sites = expand_sites(input.sites, refusals);
    plan.stations = expand_stations(input.stations, plan.sites, refusals);
    plan.receiver_crews = expand_receiver_crews(input.receiver_crews, refusals);
    plan.power_lines = expand_power_lines(input.power_lines, plan.sites, refusals);
    plan.loop_a = expand_loop(input.loops.a, "loop.a", refusals);
    plan.loop_b = expand_loop(input.loops.b, "loop.b", refusals);
    plan.driver = input.driver;
    plan.battery = input.battery;
    plan.thermal = input.thermal;
    plan.unit = input.unit;
    plan.sweep = expand_sweep(input.sweep, refusals);
    plan.receiver = input.receiver;
    plan.noise = input.noise;
    plan.targets = input.targets;
    plan.day = input.day;
    plan.day.end_s = end_after_start_s(plan.day.start_s, plan.day.end_s);
    plan.areas = input.areas;
    plan.terrain = input.terrain;
    plan.safety = input.safety;
    plan.emission = input.emission;
    plan.uncertainty = input.uncertainty;
    if (input.question) plan.question = expand_question(*input.question, refusals);
    problems.throw_if_any();
    add_surroundings(input, plan, path, refusals);
    add_survey_days(input, plan, refusals);
    problems.throw_if_any();

    for (beside::Clash& clash : beside::read_areas_and_heights(plan))
        refusals.add(clash.key, std::move(clash.found), std::move(clash.allowed));
    check_between_tables(plan, refusals);
    problems.throw_if_any();
    return plan;
}

Plan load_plan(const std::string& path, const std::vector<Setting>& settings) {
    return parse_plan(base::read_input_file(path), path, settings);
}

std::string write_plan(const Plan& plan) {
    return fmt::format("# Plan written by ampturn {} from {} (CRC-32 {}).\n", base::version(),
                       plan.source.path, base::crc32_text(plan.source.crc32)) +
           plan_keys().write(input_of(plan), "");
}

const std::vector<KeyInfo>& plan_key_infos() {
    static const std::vector<KeyInfo> infos = plan_keys().infos();
    return infos;
}

}  // namespace ampturn::plan::file
