#include "firmware-sim/course/drill_parts.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "firmware-sim/drill/recovery.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/nesting.hpp"

namespace ampturn::sim::course {

namespace {

using site::Fault;

/// How a trouble is found, mended and seen to be mended; several ways stand with " or " between them.
struct Cure {
    Fault fault;
    const char *found, *mended, *good;  // `good` may be null
    const char* looked;                 // before the start, where a look can show it
};

constexpr std::array cures{
    Cure{Fault::open_loop_a, "trip:open_loop or found:loop_a_open", "did:replace_loop_a", "found:loop_a_good",
         "found:loop_a_good"},
    Cure{Fault::open_loop_b, "trip:open_loop or found:loop_b_open", "did:replace_loop_b", "found:loop_b_good",
         "found:loop_b_good"},
    Cure{Fault::shorted_loop_a, "trip:shorted_loop or found:loop_a_shorted", "did:replace_loop_a",
         "found:loop_a_good", "found:loop_a_good"},
    Cure{Fault::shorted_loop_b, "trip:shorted_loop or found:loop_b_shorted", "did:replace_loop_b",
         "found:loop_b_good", "found:loop_b_good"},
    Cure{Fault::loose_connector_a, "trip:open_loop or found:loop_a_open", "did:remake_connectors",
         "found:loop_a_good", "found:loop_a_good"},
    Cure{Fault::loose_connector_b, "trip:open_loop or found:loop_b_open", "did:remake_connectors",
         "found:loop_b_good", "found:loop_b_good"},
    Cure{Fault::wet_connector_a, "found:loop_a_leaking", "did:dry_connectors", "found:loop_a_good",
         "found:loop_a_good"},
    Cure{Fault::wet_connector_b, "found:loop_b_leaking", "did:dry_connectors", "found:loop_b_good",
         "found:loop_b_good"},
    Cure{Fault::weak_battery, "found:battery_low or trip:under_voltage", "did:swap_battery",
         "found:battery_good", "found:battery_good"},
    Cure{Fault::cold_battery, "found:battery_low or trip:under_voltage",
         "did:swap_battery or did:warm_battery", "found:battery_good", "found:battery_good"},
    Cure{Fault::reversed_leads, "found:battery_reversed or trip:reversed_supply", "did:swap_leads",
         "found:battery_good", "found:battery_good"},
    Cure{Fault::battery_lead_off, "state:unpowered", "did:disconnect_battery_negative",
         "did:connect_battery_negative", nullptr},
    Cure{Fault::clock_drift, "trip:clock_fault or found:clock_not_locked", "did:wait_for_lock",
         "found:clock_locked", "found:clock_locked"},
    Cure{Fault::blocked_vents, "fault:blocked_vents", "did:clear_vents", nullptr, nullptr},
    Cure{Fault::receiver_not_ready, "found:receiver_not_ready", "found:receiver_ready", nullptr, nullptr},
    Cure{Fault::person_in_ring, "fault:person_in_ring", "did:send_people_away", "found:area_clear", nullptr},
    Cure{Fault::thunder_near, "fault:thunder_near", "did:disconnect_battery_negative", "did:take_shelter",
         nullptr},
    Cure{Fault::plugs_exchanged, "found:plugs_wrong or found:record_wrong_loop", "did:set_plugs_right",
         "found:plugs_right", "found:plugs_right"},
    Cure{Fault::loop_a_reversed, "found:plugs_wrong or found:record_reversed", "did:set_plugs_right",
         "found:plugs_right", "found:plugs_right"},
    Cure{Fault::loop_b_reversed, "found:plugs_wrong or found:record_reversed", "did:set_plugs_right",
         "found:plugs_right", "found:plugs_right"},
    Cure{Fault::stale_table, "found:table_stale", "did:load_table", "found:table_right", "found:table_right"},
    Cure{Fault::capacitor_drifted, "found:capacitor_drifted or found:record_weak", "did:replace_capacitor",
         "found:capacitor_good", "found:capacitor_good"},
    Cure{Fault::spare_battery_empty, "found:battery_low", "did:swap_battery", "found:battery_good",
         "found:battery_good"},
    Cure{Fault::mast_down, "fault:mast_down", "did:raise_mast", "found:masts_standing", nullptr},
    Cure{Fault::radio_dead, "found:radio_silence", "did:change_radio", "found:receiver_ready", nullptr},
    Cure{Fault::mains_hum, "found:record_clipped", "did:ask_crew_to_move or did:move_lines",
         "found:receiver_ready", nullptr},
};

constexpr bool all_in_order() {
    for (std::size_t i = 0; i < cures.size(); ++i)
        if (static_cast<std::size_t>(cures[i].fault) != i) return false;
    return cures.size() == static_cast<std::size_t>(site::fault_count);
}
static_assert(all_in_order());

constexpr const char* any_stop = "did:stop or did:emergency_stop or did:key_disarm";
constexpr double crew_late_s = 90;

bool endangers_people(Fault fault) {
    return fault == Fault::person_in_ring || fault == Fault::thunder_near || fault == Fault::mast_down;
}

toml::table good_step(const char* did, const std::string& text, std::string_view why) {
    return toml::table{{"did", did}, {"text", text}, {"why", why}};
}

toml::table rule(const std::string& id, const char* kind, double points, const char* reason) {
    return toml::table{{"id", id}, {"kind", kind}, {"points", points}, {"reason", reason}};
}

/// What is asked in every drill.
void add_usual(const DrillParts& parts, bool thunder, toml::array& good, toml::array& rules) {
    if (!parts.connected) {
        good.push_back(
            good_step("did:measure_loop_a", "Meter on both loops, plug them in", "With no supply at all."));
        good.push_back(good_step("did:measure_battery", "Meter on the battery: volts and polarity",
                                 "Five seconds against a blown unit."));
        good.push_back(
            good_step("did:connect_battery_positive", "Positive on, then negative", "Negative last."));
        toml::table order = rule("battery_order", "order", 10, "Polarity, positive, negative.");
        order.insert("steps", toml::array{"did:measure_battery", "did:connect_battery_positive",
                                          "did:connect_battery_negative"});
        rules.push_back(order);
    }
    good.push_back(
        good_step("did:check_area", "Walk the keep-out ring", "Nobody inside before the loop is live."));
    good.push_back(good_step("did:call_receiver", "Call the receiver crew", "They must be recording."));
    good.push_back(good_step("did:key_arm", "Key to ARM, go", "Listen to the warning."));
    toml::table ring = rule("ring_walked_before_each_start", "before", 10,
                            "People move: the ring is looked at before every start.");
    ring.insert("first", "found:area_clear");
    ring.insert("then", "state:sending");
    ring.insert("since", "state:tripped");
    rules.push_back(ring);
    toml::table crew =
        rule("receiver_crew_asked", "before", 10, "A sweep that nobody records is battery thrown away.");
    crew.insert("first", "found:receiver_ready");
    crew.insert("then", "state:sending");
    rules.push_back(crew);
    if (!thunder) {
        toml::table sent = rule("table_sent", "reached", 15, "The job is a whole table on the air.");
        sent.insert("happening", "table:done");
        rules.push_back(sent);
    }
    toml::table hands = rule("hands_off", "never", 10, "Bare hands on an energised loop can kill.");
    hands.insert("happening", "danger:touched_energised_loop");
    hands.insert("critical", true);
    rules.push_back(hands);
}

void add_trouble(const DrillParts::Trouble& trouble, toml::array& good, toml::array& rules) {
    const Cure& cure = cures[static_cast<std::size_t>(trouble.fault)];
    const std::string name = site::info(trouble.fault).name;
    good.push_back(good_step(cure.mended, site::info(trouble.fault).label,
                             drill::recovery_steps(trouble.fault).front()));
    toml::table mended = rule(name + "_mended", "order", 20, "Find it, mend it, look again.");
    toml::array steps{cure.found, cure.mended};
    if (cure.good != nullptr) steps.push_back(cure.good);
    mended.insert("steps", steps);
    rules.push_back(mended);
    if (!trouble.after_sending_s && cure.looked != nullptr) {
        toml::table before =
            rule(name + "_before_the_start", "before", 10, "Looked at before the loop is live.");
        before.insert("first", cure.looked);
        before.insert("then", "table:done");
        rules.push_back(before);
    }
    if (trouble.after_sending_s && endangers_people(trouble.fault)) {
        toml::table stopped = rule(name + "_stopped", "within", 20, "People first: stop at once.");
        stopped.insert("after", std::string("fault:") + name);
        stopped.insert("expect", any_stop);
        stopped.insert("seconds", 8.0);
        stopped.insert("critical", true);
        rules.push_back(stopped);
    }
}

/// Members of a JSON object, each asked for once.
class Members {
  public:
    explicit Members(nlohmann::json object, std::string path = {})
        : object_(std::move(object)), path_(std::move(path)) {
        if (!object_.is_object()) refuse("", object_.dump(), "an object");
    }
    std::string text(const char* key, std::size_t longest, std::string otherwise = {}) {
        const nlohmann::json* value = find(key);
        if (value == nullptr) return otherwise;
        const std::string allowed = fmt::format("a text of up to {} bytes", longest);
        if (!value->is_string()) refuse(key, value->dump(), allowed);
        std::string read = value->get<std::string>();
        if (read.size() > longest) refuse(key, fmt::format("{} bytes", read.size()), allowed);
        return read;
    }
    double number(const char* key, double otherwise, double min, double max) {
        const nlohmann::json* value = find(key);
        if (value == nullptr) return otherwise;
        const double read = value->is_number() ? value->get<double>() : max + 1;
        if (!(read >= min && read <= max)) refuse(key, value->dump(), fmt::format("{:g} to {:g}", min, max));
        return read;
    }
    bool flag(const char* key, bool otherwise) {
        const nlohmann::json* value = find(key);
        if (value == nullptr) return otherwise;
        if (!value->is_boolean()) refuse(key, value->dump(), "true or false");
        return value->get<bool>();
    }
    bool has(const char* key) { return find(key) != nullptr; }
    const nlohmann::json* find(const char* key) {
        known_.insert(key);
        const auto found = object_.find(key);
        return found == object_.end() || found->is_null() ? nullptr : &*found;
    }
    void nothing_else() const {
        for (const auto& [key, value] : object_.items())
            if (!known_.contains(key)) refuse(key, "an unknown member", "no other");
    }
    [[noreturn]] void refuse(const std::string& key, const std::string& found,
                             const std::string& allowed) const {
        throw base::InputError(
            {.file = {}, .position = {}, .key = path_ + key, .found = found, .allowed = allowed});
    }

  private:
    nlohmann::json object_;
    std::string path_;
    std::set<std::string> known_;
};

DrillParts::Trouble trouble_of(const nlohmann::json& json, std::size_t index) {
    Members members(json, fmt::format("troubles[{}].", index + 1));
    const std::string name = members.text("fault", 60);
    const auto fault = site::fault_named(name);
    if (!fault) members.refuse("fault", name, "one of " + site::all_fault_names());
    DrillParts::Trouble trouble{*fault, {}};
    if (members.has("after_sending_s"))
        trouble.after_sending_s = members.number("after_sending_s", 0, 0, 3600);
    members.nothing_else();
    return trouble;
}

}  // namespace

DrillParts parts_of_json(std::string_view json) {
    Members members(base::json_nested_too_deep(json) ? nlohmann::json()
                                                     : nlohmann::json::parse(json, nullptr, false));
    DrillParts parts;
    parts.id = members.text("id", 40);
    const bool good_id = !parts.id.empty() && std::all_of(parts.id.begin(), parts.id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
    });
    if (!good_id) members.refuse("id", parts.id.empty() ? "nothing" : parts.id, "1 to 40 of a-z, 0-9 and _");
    parts.title = members.text("title", 80);
    if (parts.title.empty()) members.refuse("title", "nothing", "a title");
    parts.story = members.text("story", 1000);
    parts.level = static_cast<int>(members.number("level", parts.level, 1, 5));
    parts.connected = members.flag("connected", parts.connected);
    parts.air_c = members.number("air_c", parts.air_c, -40, 60);
    parts.battery_state_of_charge =
        members.number("battery_state_of_charge", parts.battery_state_of_charge, 0.05, 1);
    parts.time_limit_s = members.number("time_limit_s", parts.time_limit_s, 60, 86400);
    parts.pass_percent = members.number("pass_percent", parts.pass_percent, 1, 100);
    if (const nlohmann::json* troubles = members.find("troubles")) {
        if (!troubles->is_array() || troubles->size() > static_cast<std::size_t>(site::fault_count))
            members.refuse("troubles", troubles->dump(), "a list of faults, each once");
        for (const nlohmann::json& one : *troubles) {
            parts.troubles.push_back(trouble_of(one, parts.troubles.size()));
            const auto same =
                std::count_if(parts.troubles.begin(), parts.troubles.end(),
                              [&](const auto& other) { return other.fault == parts.troubles.back().fault; });
            if (same > 1)
                members.refuse("troubles",
                               std::string(site::info(parts.troubles.back().fault).name) + " twice",
                               "each fault once");
        }
    }
    members.nothing_else();
    return parts;
}

std::string drill_toml(const DrillParts& parts) {
    const bool thunder = std::any_of(parts.troubles.begin(), parts.troubles.end(), [](const auto& trouble) {
        return trouble.fault == Fault::thunder_near;
    });
    toml::array start_faults, events, good, rules;
    toml::table start{{"connected", parts.connected},
                      {"air_c", parts.air_c},
                      {"battery_state_of_charge", parts.battery_state_of_charge}};
    for (const DrillParts::Trouble& trouble : parts.troubles) {
        const char* name = site::info(trouble.fault).name;
        // The crew gets ready by itself; nothing the trainee does makes it.
        const bool passes = trouble.fault == Fault::receiver_not_ready;
        if (!trouble.after_sending_s && passes) {
            start.insert("receiver_ready_after_s", crew_late_s);
        } else if (!trouble.after_sending_s) {
            start_faults.push_back(name);
        } else {
            toml::table event{
                {"on", "state:sending"}, {"after_s", *trouble.after_sending_s}, {"fault", name}};
            if (passes) event.insert("for_s", crew_late_s);
            events.push_back(event);
        }
    }
    if (!start_faults.empty()) start.insert("faults", start_faults);
    add_usual(parts, thunder, good, rules);
    for (const DrillParts::Trouble& trouble : parts.troubles) add_trouble(trouble, good, rules);
    toml::table drill{
        {"title", parts.title},
        {"level", parts.level},
        {"invented", true},
        {"time_limit_s", parts.time_limit_s},
        {"pass_percent", parts.pass_percent},
        {"ends_on", thunder ? "did:take_shelter" : "table:done"},
        {"cautions",
         toml::array{
             "Practice only: the unit here drives nothing. Real loops, capacitors and batteries injure and "
             "kill; work on them under local rules and licensed practice."}},
        {"start", start},
        {"good", good},
        {"rule", rules}};
    drill.insert("story", toml::array{parts.story.empty() ? "Send the table." : parts.story});
    if (!events.empty()) drill.insert("event", events);
    std::ostringstream text;
    text << "# INVENTED SETTING, made from parts. No real place, person, company or instrument.\n"
         << toml::toml_formatter{drill} << "\n";
    return text.str();
}

}  // namespace ampturn::sim::course
