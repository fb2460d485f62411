#include "scheduler/new_plan/answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scheduler/plan/file/config_keys.hpp"
#include "scheduler/plan/tree/config_toml.hpp"

namespace ampturn::new_plan {

using plan::file::Problems;
using plan::file::Section;
using plan::file::Value;

namespace {

void ask_place(Section<Answers>& keys) {
    keys.text("survey_name", &Answers::survey_name, {.help = "Name of the survey."})
        .yes_no("invented", &Answers::invented, {.help = "Is it an invented scenario?"})
        .date("date", &Answers::date, {.help = "Day of the survey.", .when_absent = "left blank"})
        .number("utc_offset_h", &Answers::utc_offset_h, {.unit = "h", .min = -12, .max = 14},
                {.help = "Local time minus UTC."})
        .numbers("latitude_longitude_deg", &Answers::latitude_longitude_deg,
                 {.unit = "deg", .min = -180, .max = 180}, {2, 2},
                 {.help = "Latitude and longitude of the transmitter site, WGS84, north and east positive.",
                  .when_absent = "local coordinates, the site at 0, 0"})
        .whole("station_count", &Answers::station_count, {.min = 1, .max = 200},
               {.help = "How many stations on the line."})
        .number("station_spacing_m", &Answers::station_spacing_m, {.unit = "m", .min = 1, .max = 5000},
                {.help = "From station to station."})
        .number("line_azimuth_deg", &Answers::line_azimuth_deg, {.unit = "deg", .min = -360, .max = 360},
                {.help = "Azimuth of the line of stations as seen from the site."})
        .number("first_offset_m", &Answers::first_offset_m, {.unit = "m", .min = 20, .max = 19'000},
                {.help = "From the site to the first station."})
        .numbers("resistivity_ohm_m", &Answers::resistivity_ohm_m, {.unit = "ohm m", .min = 0.1, .max = 1e5},
                 {1, 20}, {.help = "Resistivity of each layer of the ground, from the top."})
        .numbers("thickness_m", &Answers::thickness_m, {.unit = "m", .min = 0.1, .max = 1e5}, {0, 19},
                 {.help = "Thickness of each layer but the last.", .when_absent = "none: a single layer"});
}

void ask_equipment(Section<Answers>& keys) {
    keys.number("loop_side_m", &Answers::loop_side_m, {.unit = "m", .min = 1, .max = 50},
                {.help = "Side of the two square loops."})
        .whole("loop_turns", &Answers::loop_turns, {.min = 1, .max = 50}, {.help = "Turns of each loop."})
        .number("current_a_peak", &Answers::current_a_peak, {.unit = "A", .min = 0.1, .max = 100},
                {.help = "Current to aim at in the loops, peak."})
        .choice("battery_chemistry", &Answers::battery_chemistry, plan::file::chemistry_words(),
                {.help = "Kind of battery."})
        .number("battery_capacity_ah", &Answers::battery_capacity_ah, {.unit = "A h", .min = 1, .max = 1000},
                {.help = "Capacity of one battery set."})
        .whole("battery_cells", &Answers::battery_cells, {.min = 4, .max = 40},
               {.help = "Cells in series in one battery set.",
                .when_absent = "24 V nominal: 8 of lifepo4, 12 of lead-acid"})
        .whole("battery_sets", &Answers::battery_sets, {.min = 1, .max = 50},
               {.help = "Battery sets carried."})
        .number("frequency_low_hz", &Answers::frequency_low_hz, {.unit = "Hz", .min = 10, .max = 50'000},
                {.help = "Lowest frequency."})
        .number("frequency_high_hz", &Answers::frequency_high_hz, {.unit = "Hz", .min = 10, .max = 50'000},
                {.help = "Highest frequency."})
        .whole("frequency_count", &Answers::frequency_count, {.min = 1, .max = 32},
               {.help = "How many frequencies, evenly in their logarithm."})
        .number("dwell_s", &Answers::dwell_s, {.unit = "s", .min = 2, .max = 600},
                {.help = "Time on each frequency with each loop."})
        .number("mains_hz", &Answers::mains_hz, {.unit = "Hz", .min = 0, .max = 400},
                {.help = "Mains frequency; 0 where no mains is near."})
        .number("dipole_m", &Answers::dipole_m, {.unit = "m", .min = 0.5, .max = 1000},
                {.help = "Length of the receiver's electric dipoles."})
        .number("base_to_site_min", &Answers::base_to_site_min, {.unit = "min", .min = 0, .max = 600},
                {.help = "Time on the way from the base to the site."});
}

/// Rules between answers; each names the question to answer anew.
void check_together(const Answers& answers, const Value& root, Problems& problems) {
    const auto& table = std::get<Value::Table>(root.data);
    const auto refuse = [&](const char* question, std::string found, std::string allowed) {
        const Value* value = plan::file::find_member(table, question);
        problems.add(value != nullptr ? *value : root, question, std::move(found), std::move(allowed));
    };
    const auto& place = answers.latitude_longitude_deg;
    if (!place.empty() && std::abs(place[0]) > 89)
        refuse("latitude_longitude_deg", fmt::format("latitude {}", place[0]),
               "-89 to 89 deg, latitude first");
    if (answers.thickness_m.size() + 1 != answers.resistivity_ohm_m.size())
        refuse("thickness_m", fmt::format("{} entries", answers.thickness_m.size()),
               fmt::format("{}: one fewer than the {} of resistivity_ohm_m",
                           answers.resistivity_ohm_m.size() - 1, answers.resistivity_ohm_m.size()));
    const double nearest_m = answers.loop_side_m / std::numbers::sqrt2 + 1;
    if (answers.first_offset_m < nearest_m)
        refuse("first_offset_m", fmt::format("{}", answers.first_offset_m),
               fmt::format("at least {:.4g} m: outside loops of {} m", nearest_m, answers.loop_side_m));
    constexpr double farthest_m = 19'000;
    const double last_m = answers.first_offset_m + (answers.station_count - 1) * answers.station_spacing_m;
    if (last_m > farthest_m)
        refuse("station_spacing_m",
               fmt::format("{}, the last station {:.6g} m off", answers.station_spacing_m, last_m),
               fmt::format("a line that ends within {} m of the site", farthest_m));
    if (answers.frequency_count == 1 ? answers.frequency_high_hz < answers.frequency_low_hz
                                     : answers.frequency_high_hz <= answers.frequency_low_hz)
        refuse("frequency_high_hz", fmt::format("{}", answers.frequency_high_hz),
               fmt::format("above frequency_low_hz, {} Hz", answers.frequency_low_hz));
}

}  // namespace

int Answers::cells() const {
    return battery_cells.value_or(battery_chemistry == plan::Chemistry::lifepo4 ? 8 : 12);
}

const Section<Answers>& questions() {
    static const Section<Answers> keys = [] {
        Section<Answers> made;
        ask_place(made);
        ask_equipment(made);
        return made;
    }();
    return keys;
}

GivenAnswers::GivenAnswers() : root_{.data = Value::Table{}} {}

GivenAnswers::GivenAnswers(const std::string& text, const std::string& path)
    : path_(path), root_(plan::file::parse_toml(text, path)) {}

void GivenAnswers::give(const std::string& question, const std::string& text, const std::string& given_by) {
    const auto infos = questions().infos();
    const auto info =
        std::find_if(infos.begin(), infos.end(), [&](const auto& i) { return i.name == question; });
    const std::string type = info == infos.end() ? "" : info->type;
    take_back(question);
    Value value;
    if (type == "text" || type == "word")
        value = {.data = text, .position = {}, .given_by = given_by};
    else if (type.starts_with("list") && !text.starts_with('['))
        value = plan::file::value_of_text("[" + text + "]", given_by);
    else
        value = plan::file::value_of_text(text, given_by);
    std::get<Value::Table>(root_.data).push_back({question, {}, std::move(value)});
}

void GivenAnswers::take_back(const std::string& question) {
    std::erase_if(std::get<Value::Table>(root_.data),
                  [&](const auto& member) { return member.name == question; });
}

bool GivenAnswers::given(const std::string& question) const {
    return plan::file::find_member(std::get<Value::Table>(root_.data), question) != nullptr;
}

Answers GivenAnswers::read_into(Problems& problems) const {
    Answers answers;
    questions().read(root_, "", answers, problems);
    if (problems.none()) check_together(answers, root_, problems);
    return answers;
}

std::vector<base::InputProblem> GivenAnswers::problems() const {
    try {
        read();
    } catch (const base::InputError& error) {
        return error.problems();
    }
    return {};
}

Answers GivenAnswers::read() const {
    Problems problems(path_);
    Answers answers = read_into(problems);
    problems.throw_if_any();
    return answers;
}

}  // namespace ampturn::new_plan
