#include "scheduler/report/draw_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <nlohmann/json.hpp>
#include <numeric>
#include <sstream>
#include <string_view>
#include <utility>

#include "scheduler/base/input_error.hpp"
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

[[noreturn]] void refuse(const std::string& file, int line, const std::string& found,
                         const std::string& allowed) {
    throw base::InputError(
        {.file = file, .position = {line, 0}, .key = {}, .found = found, .allowed = allowed});
}

DrawsHead head_of(const Json& json, const std::string& file) {
    if (json.value("schema", "") != schema)
        refuse(file, 1, "another first line", "a part that `day --draws` has written");
    const std::string made_by =
        json.at("version").get<std::string>() + " (" + json.at("git").get<std::string>() + ")";
    const std::string ours = std::string(base::version()) + " (" + std::string(base::git_hash()) + ")";
    if (made_by != ours) refuse(file, 1, "rows of version " + made_by, "of this one, " + ours);
    DrawsHead head;
    tune::DayInputs& inputs = head.inputs;
    json.at("plan_path").get_to(inputs.plan_path);
    json.at("plan_text").get_to(inputs.plan_text);
    json.at("settings").get_to(inputs.settings);
    json.at("start").get_to(inputs.start);
    if (!json.at("temperature_c").is_null()) inputs.temperature_c = json.at("temperature_c").get<double>();
    if (!json.at("batteries").is_null()) inputs.batteries = json.at("batteries").get<int>();
    json.at("without").get_to(inputs.without);
    json.at("seed").get_to(inputs.seed);
    json.at("first").get_to(head.first);
    json.at("count").get_to(head.count);
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

/// "3", "3 to 7"
std::string range_text(int from, int to) {
    return from == to ? std::to_string(from) : fmt::format("{} to {}", from, to);
}

}  // namespace

std::string draws_head_line(const DrawsHead& head) {
    const tune::DayInputs& inputs = head.inputs;
    return Json{{"schema", schema},
                {"version", base::version()},
                {"git", base::git_hash()},
                {"first", head.first},
                {"count", head.count},
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
            const Json json = Json::parse(std::string_view(text).substr(begin, end - begin));
            if (line == 1) {
                part.head = head_of(json, file);
            } else {
                const int run = json.at("run").get<int>(), wanted = part.head.first + line - 2;
                if (run != wanted || line - 1 > part.head.count)
                    refuse(file, line, fmt::format("run {}", run), fmt::format("run {}", wanted));
                part.draws.push_back(draw_of(json));
            }
        } catch (const Json::exception&) {
            refuse(file, line, "something else", line == 1 ? "the head of a part" : "a row of a part");
        }
        begin = end + 1;
    }
    if (line == 0) refuse(file, 1, "nothing", "a part that `day --draws` has written");
    return part;
}

std::vector<day::DayDraw> merged_draws(std::vector<DrawsPart> parts, const std::vector<std::string>& files,
                                       int runs) {
    std::vector<std::size_t> order(parts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return parts[a].head.first < parts[b].head.first; });
    std::vector<day::DayDraw> all;
    const auto next = [&] { return static_cast<int>(all.size()); };
    const auto leave_no_gap = [&](int until, const std::string& file) {
        if (next() < until)
            refuse(file, 0, fmt::format("no part with the runs {}", range_text(next(), until - 1)),
                   "all runs from 0 on");
    };
    for (const std::size_t i : order) {
        DrawsPart& part = parts[i];
        if (part.head.inputs != parts[order.front()].head.inputs)
            refuse(files[i], 1, "another plan, other words or another seed than in " + files[order.front()],
                   "parts of the same day");
        leave_no_gap(part.head.first, files[i]);
        if (part.head.first < next())
            refuse(files[i], 1, fmt::format("runs from {} on", part.head.first),
                   fmt::format("runs from {} on: what is before is in {} already", next(),
                               files[order.front()]));
        std::move(part.draws.begin(), part.draws.end(), std::back_inserter(all));
        const int end = part.head.first + part.head.count;
        if (next() < end)
            refuse(files[i], 0,
                   fmt::format("{} of {} runs: the part ended early, {} missing", part.draws.size(),
                               part.head.count, range_text(next(), end - 1)),
                   "a whole part; run it again");
    }
    leave_no_gap(runs, files[order.back()]);
    if (runs > 0 && next() > runs)
        refuse(files[order.back()], 0, fmt::format("{} runs in all", next()),
               fmt::format("{}, as asked for", runs));
    return all;
}

}  // namespace ampturn::report
