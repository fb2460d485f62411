#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace ampturn::core {

enum class State : std::uint8_t {
    unpowered = 0,
    self_check,
    standby,
    armed,
    warning,
    sending,
    stopping,
    resting,
    tripped,
};
inline constexpr std::size_t state_count = 9;

/// What can happen, in the words of the state table. Hosts send controls, readings and time; the sequencer
/// turns them into these.
enum class Event : std::uint8_t {
    supply_present = 0,  ///< right polarity
    supply_lost,
    checks_passed,
    arm,
    disarm,
    go,
    stop,
    timeout,
    table_done,
    current_zero,
    cooled,
    trip,
    acknowledge,  ///< by the operator, cause gone
};
inline constexpr std::size_t event_count = 13;

/// `hot`: a temperature is above its restart limit.
enum class When : std::uint8_t { always = 0, hot, cool };

struct Edge {
    State from;
    Event event;
    State to;
    When when = When::always;
    constexpr bool operator==(const Edge&) const = default;
};

/// Every edge but the two that hold from every state: supply_lost -> unpowered and trip -> tripped.
inline constexpr std::array<Edge, 18> edges{{
    Edge{State::unpowered, Event::supply_present, State::self_check},
    Edge{State::self_check, Event::checks_passed, State::standby},
    Edge{State::standby, Event::arm, State::armed},
    Edge{State::armed, Event::go, State::warning},
    Edge{State::armed, Event::disarm, State::standby},
    Edge{State::armed, Event::stop, State::standby},
    Edge{State::armed, Event::timeout, State::standby},
    Edge{State::warning, Event::timeout, State::sending},
    Edge{State::warning, Event::stop, State::standby},
    Edge{State::warning, Event::disarm, State::standby},
    Edge{State::sending, Event::table_done, State::resting, When::hot},
    Edge{State::sending, Event::table_done, State::standby, When::cool},
    Edge{State::sending, Event::stop, State::stopping},
    Edge{State::sending, Event::disarm, State::stopping},
    Edge{State::stopping, Event::current_zero, State::resting, When::hot},
    Edge{State::stopping, Event::current_zero, State::standby, When::cool},
    Edge{State::resting, Event::cooled, State::standby},
    Edge{State::tripped, Event::acknowledge, State::self_check},
}};

struct Next {
    bool moves = false;
    State to = State::unpowered;
};

/// Where an event leads; `moves` is false where no edge is listed.
constexpr Next next(State from, Event event, bool hot) {
    if (event == Event::supply_lost) return {from != State::unpowered, State::unpowered};
    if (event == Event::trip) return {from != State::tripped, State::tripped};
    for (const Edge& edge : edges)
        if (edge.from == from && edge.event == event &&
            (edge.when == When::always || (edge.when == When::hot) == hot))
            return {true, edge.to};
    return {};
}

/// The only states in which the power stage may be on.
constexpr bool may_energise(State state) { return state == State::sending || state == State::stopping; }

constexpr bool only_warning_leads_to_sending() {
    for (const Edge& edge : edges)
        if (edge.to == State::sending && edge.from != State::warning) return false;
    return true;
}
constexpr bool only_a_fresh_arm_leads_to_warning() {
    for (const Edge& edge : edges) {
        if (edge.to == State::warning && (edge.from != State::armed || edge.event != Event::go)) return false;
        if (edge.to == State::armed && (edge.from != State::standby || edge.event != Event::arm))
            return false;
    }
    return true;
}
constexpr bool no_event_has_two_answers() {
    for (std::size_t i = 0; i < edges.size(); ++i)
        for (std::size_t j = i + 1; j < edges.size(); ++j)
            if (edges[i].from == edges[j].from && edges[i].event == edges[j].event &&
                (edges[i].when == When::always || edges[j].when == When::always ||
                 edges[i].when == edges[j].when))
                return false;
    return true;
}
static_assert(only_warning_leads_to_sending());
static_assert(only_a_fresh_arm_leads_to_warning());
static_assert(no_event_has_two_answers());

}  // namespace ampturn::core
