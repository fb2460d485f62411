#include "scheduler/report/draw_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string_view>
#include <utility>

#include "scheduler/base/version.hpp"

namespace ampturn::report {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* schema = "ampturn.draws";

/// What is not finite is null: infinity for a voltage that never was, NaN in a trace.
Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }
double number_of(const Json& json, double otherwise) {
    return json.is_null() ? otherwise : json.get<double>();
}

Json numbers(const std::vector<double>& values) {
    Json list = Json::array();
    for (const double value : values) list.push_back(number(value));
    return list;
}
std::vector<double> numbers_of(const Json& json, double otherwise) {
    std::vector<double> values;
    for (const Json& one : json) values.push_back(number_of(one, otherwise));
    return values;
}

template <class Value>
Json or_null(const std::optional<Value>& value) {
    return value ? Json(*value) : Json(nullptr);
}

DrawsHead head_of(const Json& json, const std::string& file) {
    if (json.value("schema", "") != schema)
        base::refuse_part(file, 1, "another first line", "a part that `day --draws` has written");
    base::check_made_by_this_build(json.at("version").get<std::string>(), json.at("git").get<std::string>(),
                                   file, 1);
    DrawsHead head;
    tune::DayInputs& inputs = head.inputs;
    json.at("plan_path").get_to(inputs.plan_path);
    json.at("plan_text").get_to(inputs.plan_text);
    json.at("settings").get_to(inputs.settings);
    json.at("start").get_to(inputs.start);
    if (!json.at("temperature_c").is_null()) inputs.temperature_c = json.at("temperature_c").get<double>();
    if (!json.at("batteries").is_null())
        inputs.batteries = base::number_of_part(json.at("batteries"), file, 1);
    json.at("without").get_to(inputs.without);
    inputs.seed = base::whole_of_part(json.at("seed"), file, 1);
    head.range.first = base::number_of_part(json.at("first"), file, 1);
    head.range.count = base::number_of_part(json.at("count"), file, 1);
    return head;
}

day::DayDraw draw_of(const Json& json) {
    constexpr double infinite = std::numeric_limits<double>::infinity(),
                     unknown = std::numeric_limits<double>::quiet_NaN();
    day::DayDraw draw;
    draw.inputs = numbers_of(json.at("inputs"), unknown);
    json.at("completed").get_to(draw.completed);
    json.at("battery_short").get_to(draw.battery_short);
    json.at("energy_wh").get_to(draw.energy_wh);
    draw.lowest_v = number_of(json.at("lowest_v"), infinite);
    json.at("end_s").get_to(draw.end_s);
    json.at("passed_count").get_to(draw.passed_count);
    json.at("batteries_used").get_to(draw.batteries_used);
    for (const char c : json.at("usable").get<std::string>()) draw.usable.push_back(c == '1');
    draw.battery.charge_fraction = numbers_of(json.at("charge_fraction"), unknown);
    draw.battery.lowest_v = numbers_of(json.at("battery_v"), unknown);
    return draw;
}

}  // namespace

std::string draws_head_line(const DrawsHead& head) {
    const tune::DayInputs& inputs = head.inputs;
    return Json{{"schema", schema},
                {"version", base::version()},
                {"git", base::git_hash()},
                {"first", head.range.first},
                {"count", head.range.count},
                {"seed", inputs.seed},
                {"plan_path", inputs.plan_path},
                {"settings", inputs.settings},
                {"start", inputs.start},
                {"temperature_c", or_null(inputs.temperature_c)},
                {"batteries", or_null(inputs.batteries)},
                {"without", inputs.without},
                {"plan_text", inputs.plan_text}}
               .dump(-1, ' ', false, Json::error_handler_t::replace) +
           "\n";
}

std::string draw_line(int run, const day::DayDraw& draw) {
    std::string usable;
    for (const bool one : draw.usable) usable += one ? '1' : '0';
    return Json{{"run", run},
                {"completed", draw.completed},
                {"battery_short", draw.battery_short},
                {"energy_wh", draw.energy_wh},
                {"lowest_v", number(draw.lowest_v)},
                {"end_s", draw.end_s},
                {"passed_count", draw.passed_count},
                {"batteries_used", draw.batteries_used},
                {"usable", usable},
                {"inputs", numbers(draw.inputs)},
                {"charge_fraction", numbers(draw.battery.charge_fraction)},
                {"battery_v", numbers(draw.battery.lowest_v)}}
               .dump() +
           "\n";
}

DrawsPart read_draws(const std::string& text, const std::string& file) {
    DrawsPart part;
    int line = 0;
    for (std::size_t begin = 0; begin < text.size();) {
        const std::size_t end = text.find('\n', begin);
        if (end == std::string::npos) break;  // what was being written when the part died
        ++line;
        try {
            const Json json =
                base::json_of_part(std::string_view(text).substr(begin, end - begin), file, line);
            if (line == 1) {
                part.head = head_of(json, file);
            } else {
                const int run = base::number_of_part(json.at("run"), file, line),
                          wanted = part.head.range.first + line - 2;
                if (run != wanted || line - 1 > part.head.range.count)
                    base::refuse_part(file, line, fmt::format("run {}", run), fmt::format("run {}", wanted));
                part.draws.push_back(draw_of(json));
            }
        } catch (const Json::exception&) {
            base::refuse_part(file, line, "something else",
                              line == 1 ? "the head of a part" : "a row of a part");
        }
        begin = end + 1;
    }
    if (line == 0) base::refuse_part(file, 1, "nothing", "a part that `day --draws` has written");
    return part;
}

std::vector<day::DayDraw> merged_draws(std::vector<DrawsPart> parts, const std::vector<std::string>& files,
                                       int runs) {
    std::vector<base::PartFound> found;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (parts[i].head.inputs != parts.front().head.inputs)
            base::refuse_part(files[i], 1,
                              "another plan, other words or another seed than in " + files.front(),
                              "parts of the same day");
        found.push_back({files[i], parts[i].head.range, static_cast<int>(parts[i].draws.size())});
    }
    std::vector<day::DayDraw> all;
    for (const std::size_t i : base::parts_in_order(found, {.entries = "runs", .first_number = 0}, runs))
        std::move(parts[i].draws.begin(), parts[i].draws.end(), std::back_inserter(all));
    return all;
}

}  // namespace ampturn::report
