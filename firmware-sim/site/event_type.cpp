#include "firmware-sim/site/event_type.hpp"

#include <fmt/format.h>

#include <array>
#include <cstddef>

#include "scheduler/run/names.hpp"

namespace ampturn::sim::site {

using run::name_of;

namespace {

using Kind = EventType::Kind;

template <class Enum>
struct Named {
    Enum value;
    std::string_view name;
};

constexpr std::array kinds{
    Named<Kind>{Kind::did, "did"},
    Named<Kind>{Kind::tried, "tried"},
    Named<Kind>{Kind::found, "found"},
    Named<Kind>{Kind::danger, "danger"},
    Named<Kind>{Kind::state_entered, "state"},
    Named<Kind>{Kind::tripped, "trip"},
    Named<Kind>{Kind::fault_set, "fault"},
    Named<Kind>{Kind::fault_cleared, "cleared"},
    Named<Kind>{Kind::table_done, "table"},
    Named<Kind>{Kind::story, "say"},
    Named<Kind>{Kind::remark, "remark"},
    Named<Kind>{Kind::radio, "radio"},
};

constexpr std::array findings{
    Named<Finding>{Finding::battery_good, "battery_good"},
    Named<Finding>{Finding::battery_low, "battery_low"},
    Named<Finding>{Finding::battery_reversed, "battery_reversed"},
    Named<Finding>{Finding::loop_a_good, "loop_a_good"},
    Named<Finding>{Finding::loop_a_open, "loop_a_open"},
    Named<Finding>{Finding::loop_a_shorted, "loop_a_shorted"},
    Named<Finding>{Finding::loop_a_leaking, "loop_a_leaking"},
    Named<Finding>{Finding::loop_b_good, "loop_b_good"},
    Named<Finding>{Finding::loop_b_open, "loop_b_open"},
    Named<Finding>{Finding::loop_b_shorted, "loop_b_shorted"},
    Named<Finding>{Finding::loop_b_leaking, "loop_b_leaking"},
    Named<Finding>{Finding::area_clear, "area_clear"},
    Named<Finding>{Finding::area_not_clear, "area_not_clear"},
    Named<Finding>{Finding::receiver_ready, "receiver_ready"},
    Named<Finding>{Finding::receiver_not_ready, "receiver_not_ready"},
    Named<Finding>{Finding::clock_locked, "clock_locked"},
    Named<Finding>{Finding::clock_not_locked, "clock_not_locked"},
    Named<Finding>{Finding::plugs_right, "plugs_right"},
    Named<Finding>{Finding::plugs_wrong, "plugs_wrong"},
    Named<Finding>{Finding::capacitor_good, "capacitor_good"},
    Named<Finding>{Finding::capacitor_drifted, "capacitor_drifted"},
    Named<Finding>{Finding::table_right, "table_right"},
    Named<Finding>{Finding::table_stale, "table_stale"},
    Named<Finding>{Finding::masts_standing, "masts_standing"},
    Named<Finding>{Finding::mast_down, "mast_down"},
    Named<Finding>{Finding::radio_silence, "radio_silence"},
    Named<Finding>{Finding::record_good, "record_good"},
    Named<Finding>{Finding::record_empty, "record_empty"},
    Named<Finding>{Finding::record_wrong_loop, "record_wrong_loop"},
    Named<Finding>{Finding::record_reversed, "record_reversed"},
    Named<Finding>{Finding::record_weak, "record_weak"},
    Named<Finding>{Finding::record_clipped, "record_clipped"},
};

constexpr std::array dangers{
    Named<Danger>{Danger::touched_energised_loop, "touched_energised_loop"},
    Named<Danger>{Danger::touched_while_armed, "touched_while_armed"},
    Named<Danger>{Danger::touched_charged_capacitor, "touched_charged_capacitor"},
    Named<Danger>{Danger::broke_supply_under_load, "broke_supply_under_load"},
    Named<Danger>{Danger::negative_first, "negative_first"},
    Named<Danger>{Danger::positive_off_first, "positive_off_first"},
    Named<Danger>{Danger::sent_with_person_in_ring, "sent_with_person_in_ring"},
    Named<Danger>{Danger::sent_in_thunder, "sent_in_thunder"},
    Named<Danger>{Danger::person_in_ring_while_energised, "person_in_ring_while_energised"},
    Named<Danger>{Danger::thunder_while_energised, "thunder_while_energised"},
    Named<Danger>{Danger::sent_with_mast_down, "sent_with_mast_down"},
    Named<Danger>{Danger::mast_down_while_energised, "mast_down_while_energised"},
};

constexpr bool in_order(const auto& table) {
    for (std::size_t i = 0; i < table.size(); ++i) {
        if (static_cast<std::size_t>(table[i].value) != i) return false;
    }
    return true;
}
static_assert(in_order(kinds) && in_order(findings) && in_order(dangers));

template <class Enum, std::size_t count>
std::string_view name_in(const std::array<Named<Enum>, count>& table, Enum value) {
    return table[static_cast<std::size_t>(value)].name;
}

template <class Enum, std::size_t count>
std::optional<Enum> value_in(const std::array<Named<Enum>, count>& table, std::string_view name) {
    for (const Named<Enum>& one : table) {
        if (one.name == name) return one.value;
    }
    return std::nullopt;
}

constexpr std::string_view table_done_name = "done";

struct DetailName {
    std::string_view operator()(std::monostate) const { return {}; }
    std::string_view operator()(Action action) const { return info(action).name; }
    std::string_view operator()(Finding finding) const { return name_in(findings, finding); }
    std::string_view operator()(Danger danger) const { return name_in(dangers, danger); }
    std::string_view operator()(core::State state) const { return name_of(state); }
    std::string_view operator()(core::Trip trip) const { return name_of(trip); }
    std::string_view operator()(Fault fault) const { return info(fault).name; }
    std::string_view operator()(Seat seat) const { return site::name_of(seat); }
};

template <class Detail>
std::optional<EventType> with_detail(Kind kind, const std::optional<Detail>& detail) {
    if (!detail) return std::nullopt;
    return EventType{kind, *detail};
}

}  // namespace

bool lasts(Danger danger) {
    return danger == Danger::person_in_ring_while_energised || danger == Danger::thunder_while_energised ||
           danger == Danger::mast_down_while_energised;
}

std::string_view detail_name_of(const EventType& type) {
    return type.kind == Kind::table_done ? table_done_name : std::visit(DetailName{}, type.detail);
}

std::string name_of(const EventType& type) {
    return fmt::format("{}:{}", name_in(kinds, type.kind), detail_name_of(type));
}

std::optional<EventType> event_type_named(std::string_view name) {
    const std::size_t colon = name.find(':');
    if (colon == std::string_view::npos) return std::nullopt;
    const std::optional<Kind> kind = value_in(kinds, name.substr(0, colon));
    const std::string_view word = name.substr(colon + 1);
    if (!kind) return std::nullopt;
    switch (*kind) {
        case Kind::did:
        case Kind::tried:
            return with_detail(*kind, action_named(word));
        case Kind::found:
            return with_detail(*kind, value_in(findings, word));
        case Kind::danger:
            return with_detail(*kind, value_in(dangers, word));
        case Kind::state_entered:
            return with_detail(*kind, run::value_named<core::State>(word, core::state_count));
        case Kind::tripped:
            return with_detail(*kind, run::value_named<core::Trip>(word, core::trip_count));
        case Kind::fault_set:
        case Kind::fault_cleared:
            return with_detail(*kind, fault_named(word));
        case Kind::table_done:
            if (word == table_done_name) return EventType::table_done();
            return std::nullopt;
        case Kind::story:
        case Kind::remark:
            if (word.empty()) return EventType{*kind, {}};
            return std::nullopt;
        case Kind::radio:
            return with_detail(*kind, seat_named(word));
    }
    return std::nullopt;
}

}  // namespace ampturn::sim::site
