#include <fmt/format.h>

#include <toml++/toml.h>
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <set>
#include <utility>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/site/fault.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"

namespace ampturn::sim::drill {
namespace {

using base::InputError;

/// One TOML table: hands out its keys by name and refuses what nobody asked for.
class Table {
  public:
    Table(const toml::table& table, std::string file, std::string path)
        : table_(table), file_(std::move(file)), path_(std::move(path)) {}

    bool has(const char* key) {
        asked_.insert(key);
        return table_.contains(key);
    }
    std::string text(const char* key, const char* allowed) {
        const toml::node& node = required(key, allowed);
        if (!node.is_string()) refuse(key, kind_of(node), allowed);
        std::string value = **node.as_string();
        if (value.empty()) refuse(key, "empty text", allowed);
        return value;
    }
    std::string text_or(const char* key, std::string otherwise, const char* allowed) {
        return has(key) ? text(key, allowed) : std::move(otherwise);
    }
    double number(const char* key, double min, double max) {
        const std::string allowed = fmt::format("a number from {:g} to {:g}", min, max);
        const toml::node& node = required(key, allowed);
        if (!node.is_number()) refuse(key, kind_of(node), allowed);
        const double value = *node.value<double>();
        if (!(value >= min && value <= max)) refuse(key, fmt::format("{:g}", value), allowed);
        return value;
    }
    double number_or(const char* key, double otherwise, double min, double max) {
        return has(key) ? number(key, min, max) : otherwise;
    }
    bool flag_or(const char* key, bool otherwise) {
        if (!has(key)) return otherwise;
        const toml::node& node = *table_.get(key);
        if (!node.is_boolean()) refuse(key, kind_of(node), "true or false");
        return **node.as_boolean();
    }
    std::vector<std::string> texts_or_none(const char* key, const char* allowed) {
        std::vector<std::string> values;
        if (!has(key)) return values;
        const toml::array* array = table_.get(key)->as_array();
        if (!array) refuse(key, kind_of(*table_.get(key)), allowed);
        for (const toml::node& node : *array) {
            if (!node.is_string()) refuse(key, kind_of(node), allowed);
            values.push_back(**node.as_string());
        }
        return values;
    }
    std::vector<Table> tables(const char* key) {
        std::vector<Table> values;
        if (!has(key)) return values;
        const toml::array* array = table_.get(key)->as_array();
        if (!array) refuse(key, kind_of(*table_.get(key)), fmt::format("tables written [[{}]]", key));
        for (const toml::node& node : *array) {
            if (!node.is_table()) refuse(key, kind_of(node), fmt::format("tables written [[{}]]", key));
            values.emplace_back(*node.as_table(), file_,
                                fmt::format("{}{}[{}]", dotted(), key, values.size() + 1));
        }
        return values;
    }
    Table table(const char* key) {
        if (!has(key)) return Table(empty(), file_, dotted() + key);
        const toml::table* inner = table_.get(key)->as_table();
        if (!inner) refuse(key, kind_of(*table_.get(key)), fmt::format("a table [{}]", key));
        return Table(*inner, file_, dotted() + key);
    }
    void nothing_else() const {
        for (const auto& [key, node] : table_) {
            if (asked_.contains(std::string(key.str()))) continue;
            std::string allowed;
            for (const std::string& name : asked_) allowed += (allowed.empty() ? "" : ", ") + name;
            refuse_at(key.source().begin, std::string(key.str()), "an unknown key", "one of " + allowed);
        }
    }
    [[noreturn]] void refuse(const char* key, const std::string& found, const std::string& allowed) const {
        const toml::node* node = table_.get(key);
        refuse_at(node ? node->source().begin : table_.source().begin, key, found, allowed);
    }

  private:
    static const toml::table& empty() {
        static const toml::table none;
        return none;
    }
    std::string dotted() const { return path_.empty() ? "" : path_ + "."; }
    const toml::node& required(const char* key, const std::string& allowed) {
        if (!has(key)) refuse_at(table_.source().begin, key, "nothing", allowed);
        return *table_.get(key);
    }
    static std::string kind_of(const toml::node& node) {
        if (node.is_string()) return "a text";
        if (node.is_number()) return "a number";
        if (node.is_boolean()) return "true or false";
        if (node.is_array()) return "a list";
        if (node.is_table()) return "a table";
        return "a date or time";
    }
    [[noreturn]] void refuse_at(toml::source_position where, const std::string& key, std::string found,
                                std::string allowed) const {
        throw InputError({.file = file_,
                          .position = {static_cast<int>(where.line), static_cast<int>(where.column)},
                          .key = dotted() + key,
                          .found = std::move(found),
                          .allowed = std::move(allowed)});
    }

    const toml::table& table_;
    std::string file_, path_;
    std::set<std::string> asked_;
};

constexpr const char* happening_form =
    "a happening: did:, tried:, found:, danger:, state:, trip:, fault:, cleared:, radio: and a name, or table:done";
constexpr const char* any_form =
    "happenings with \" or \" between them: did:, tried:, found:, danger:, state:, trip:, fault:, "
    "cleared:, radio: and a name, or table:done";

/// What `name` stands for; a drill cannot speak of lines of story and remarks.
site::EventType event_of(const Table& table, const char* key, const std::string& name) {
    const std::optional<site::EventType> type = site::event_type_named(name);
    if (!type || type->kind == site::EventType::Kind::story || type->kind == site::EventType::Kind::remark)
        table.refuse(key, name, happening_form);
    return *type;
}

site::EventType event(Table& table, const char* key) {
    return event_of(table, key, table.text(key, happening_form));
}

/// "did:stop or did:emergency_stop"
AnyOf any_of(const Table& table, const char* key, const std::string& names) {
    constexpr std::string_view between = " or ";
    std::vector<site::EventType> types;
    for (std::size_t from = 0; from <= names.size();) {
        const std::size_t to = std::min(names.find(between, from), names.size());
        types.push_back(event_of(table, key, names.substr(from, to - from)));
        from = to + between.size();
    }
    return types;
}

AnyOf any_of(Table& table, const char* key) { return any_of(table, key, table.text(key, any_form)); }

site::Fault fault_of(const Table& table, const char* key, const std::string& name) {
    const std::optional<site::Fault> fault = site::fault_named(name);
    if (!fault) table.refuse(key, name, "one of " + site::all_fault_names());
    return *fault;
}

site::Fault fault(Table& table, const char* key) {
    return fault_of(table, key, table.text(key, "the name of a fault"));
}

DrillStart read_start(Table table) {
    DrillStart start;
    start.air_c = table.number_or("air_c", start.air_c, -40, 60);
    start.battery_state_of_charge = table.number_or("battery_state_of_charge", 1, 0.05, 1);
    start.connected = table.flag_or("connected", false);
    start.area_checked = table.flag_or("area_checked", false);
    start.receiver_ready_after_s = table.number_or("receiver_ready_after_s", 0, 0, 86400);
    for (const std::string& name : table.texts_or_none("faults", "a list of names of faults"))
        start.faults.push_back(fault_of(table, "faults", name));
    if (table.has("plan")) start.plan = table.text("plan", "path of a plan, relative to this file");
    table.nothing_else();
    return start;
}

ScenarioEvent read_scenario_event(Table table) {
    ScenarioEvent scenario;
    if (table.has("at_s") == table.has("on"))
        table.refuse("at_s", "both or neither of at_s and on", "one of them");
    if (table.has("at_s")) scenario.at_s = table.number("at_s", 0, 86400);
    if (table.has("on")) {
        scenario.on = event(table, "on");
        scenario.after_s = table.number_or("after_s", 0, 0, 86400);
        scenario.every = table.flag_or("every", false);
    }
    int what = 0;
    if (table.has("fault")) scenario.fault = fault(table, "fault"), ++what;
    if (table.has("clear")) scenario.clear = fault(table, "clear"), ++what;
    if (table.has("say")) scenario.say = table.text("say", "a line of story"), ++what;
    if (what == 0) table.refuse("fault", "an event that does nothing", "fault, clear or say");
    if (table.has("for_s")) scenario.for_s = table.number("for_s", 0.01, 86400);
    if (scenario.for_s && !scenario.fault)
        table.refuse("for_s", "for_s without fault", "for_s beside a fault");
    table.nothing_else();
    return scenario;
}

ScoreRule read_rule(Table table) {
    ScoreRule rule;
    rule.id = table.text("id", "a short name");
    rule.points = table.number("points", 0.5, 100);
    rule.critical = table.flag_or("critical", false);
    rule.reason = table.text("reason", "why the rule matters");
    const std::string kind = table.text("kind", "order, before, within, never, reached or at_most");
    if (kind == "order") {
        ScoreRule::Order order;
        for (const std::string& step : table.texts_or_none("steps", happening_form))
            order.steps.push_back(any_of(table, "steps", step));
        if (order.steps.size() < 2)
            table.refuse("steps", fmt::format("{} steps", order.steps.size()), "at least two");
        rule.test = std::move(order);
    } else if (kind == "before") {
        ScoreRule::Before before{any_of(table, "first"), event(table, "then"), {}};
        if (table.has("since")) before.since = event(table, "since");
        rule.test = before;
    } else if (kind == "within") {
        rule.test = ScoreRule::Within{event(table, "after"), any_of(table, "expect"),
                                      table.number("seconds", 0.1, 86400)};
    } else if (kind == "never") {
        rule.test = ScoreRule::Never{event(table, "happening")};
    } else if (kind == "reached") {
        rule.test = ScoreRule::Reached{event(table, "happening")};
    } else if (kind == "at_most") {
        rule.test =
            ScoreRule::AtMost{event(table, "happening"), static_cast<int>(table.number("count", 0, 1000))};
    } else {
        table.refuse("kind", kind, "order, before, within, never, reached or at_most");
    }
    table.nothing_else();
    return rule;
}

GoodStep read_good(Table table) {
    GoodStep step;
    if (table.has("did")) step.did = any_of(table, "did");
    step.text = table.text("text", "what to do");
    step.why = table.text("why", "the reason");
    table.nothing_else();
    return step;
}

}  // namespace

Drill parse_drill(std::string_view bytes, const std::string& path) {
    if (const auto at = base::toml_key_too_long(bytes))
        throw InputError({.file = path,
                          .position = base::position_of_byte(bytes, *at),
                          .key = {},
                          .found = "a key of more names",
                          .allowed = base::key_parts_allowed});
    toml::table parsed;
    try {
        parsed = toml::parse(bytes, path);
    } catch (const toml::parse_error& error) {
        throw InputError({.file = path,
                          .position = {static_cast<int>(error.source().begin.line),
                                       static_cast<int>(error.source().begin.column)},
                          .key = {},
                          .found = std::string(error.description()),
                          .allowed = "TOML 1.0"});
    }
    Table table(parsed, path, "");
    Drill drill;
    drill.file = path;
    drill.id = std::filesystem::path(path).stem().string();
    drill.title = table.text("title", "a title");
    drill.level = static_cast<int>(table.number("level", 1, 5));
    if (!table.flag_or("invented", false)) {
        table.refuse("invented", "no invented = true",
                     "invented = true: a drill plays in an invented setting");
    }
    drill.story = table.texts_or_none("story", "a list of paragraphs");
    if (drill.story.empty()) table.refuse("story", "no story", "a list of paragraphs");
    drill.cautions = table.texts_or_none("cautions", "a list of cautions");
    drill.time_limit_s = table.number_or("time_limit_s", drill.time_limit_s, 10, 86400);
    drill.pass_percent = table.number_or("pass_percent", drill.pass_percent, 1, 100);
    if (table.has("ends_on")) drill.ends_on = event(table, "ends_on");
    drill.start = read_start(table.table("start"));
    for (Table& one : table.tables("event")) drill.events.push_back(read_scenario_event(one));
    for (Table& step : table.tables("good")) drill.good.push_back(read_good(step));
    for (Table& rule : table.tables("rule")) {
        drill.rules.push_back(read_rule(rule));
        const auto same = std::count_if(drill.rules.begin(), drill.rules.end(), [&](const ScoreRule& other) {
            return other.id == drill.rules.back().id;
        });
        if (same > 1)
            rule.refuse("id", drill.rules.back().id + " a second time", "a name of its own for each rule");
    }
    if (drill.good.empty()) table.refuse("good", "none", "at least one [[good]]: what a good operator does");
    if (drill.rules.empty()) table.refuse("rule", "none", "at least one [[rule]]");
    table.nothing_else();
    return drill;
}

Drill read_drill(const std::string& path) {
    return parse_drill(base::read_input_file(path, "a drill (TOML)"), path);
}

}  // namespace ampturn::sim::drill
