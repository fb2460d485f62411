#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "firmware-sim/site/event_type.hpp"

namespace ampturn::sim::drill {

/// A drill as read from its TOML file. docs/operating.md describes every key.

/// What the site and the unit are like when the drill begins.
struct DrillStart {
    double air_c = 15;
    double battery_state_of_charge = 1;
    bool connected = false;  // battery and both loops already connected, in the right order
    bool area_checked = false;
    double receiver_ready_after_s = 0;
    std::vector<site::Fault> faults;
    std::optional<std::string> plan;  // path, relative to the drill file
};

/// Something the scenario does by itself.
struct ScenarioEvent {
    std::optional<double> at_s;  // after the start of the drill
    std::optional<site::EventType>
        on;  // or: after this has happened (the first time, or each time with `every`)
    double after_s = 0;
    bool every = false;
    std::optional<site::Fault> fault;  // set it
    std::optional<site::Fault> clear;  // or clear it
    std::string say;                   // or: a line of story shown to the trainee
    std::optional<double> for_s;       // a fault clears by itself after this
};

/// Any of these counts: a stop, an emergency stop and the key to SAFE all take the current off.
struct AnyOf {
    AnyOf(const site::EventType& one) : types{one} {}
    AnyOf(std::vector<site::EventType> any) : types(std::move(any)) {}
    bool has(const site::EventType& type) const {
        return std::find(types.begin(), types.end(), type) != types.end();
    }
    std::vector<site::EventType> types;  // one at least
};

/// What a good operator does, in order; shown in the debrief.
struct GoodStep {
    std::optional<AnyOf> did;  // what it looks like in the timeline; nothing if it leaves no trace
    std::string text;
    std::string why;
};

/// How points are given. `points` are the most a rule can give; a rule that was never put to the test gives
/// none and does not count in the total.
struct ScoreRule {
    struct Order {  // the steps come in this order; a share of the points for each that does
        std::vector<AnyOf> steps;
    };
    struct Before {  // each `then` has a `first` before it, since the last `since` if that is given
        AnyOf first;
        site::EventType then;
        std::optional<site::EventType> since;
    };
    struct Within {  // after each `after` an `expect` follows within `seconds`
        site::EventType after;
        AnyOf expect;
        double seconds = 0;
    };
    struct Never {  // it does not occur; each occurrence takes all points
        site::EventType event;
    };
    struct Reached {  // it occurs
        site::EventType event;
    };
    struct AtMost {  // it occurs at most `count` times
        site::EventType event;
        int count = 0;
    };

    std::string id;
    double points = 0;
    bool critical = false;  // all points or the drill is not passed
    std::string reason;     // why it matters, said in the debrief
    std::variant<Order, Before, Within, Never, Reached, AtMost> test;
};

struct Drill {
    std::string file;
    std::string id;  // file name without .toml
    std::string title;
    int level = 1;                   // 1 first start to 5 compound faults
    std::vector<std::string> story;  // paragraphs
    std::vector<std::string> cautions;
    DrillStart start;
    std::vector<ScenarioEvent> events;
    std::vector<GoodStep> good;
    std::vector<ScoreRule> rules;
    double time_limit_s = 3600;
    std::optional<site::EventType> ends_on;  // nothing: only "finish" and the time limit end it
    double pass_percent = 70;
};

/// Reads and checks a drill; every fault of the file is a plan::InputError (file, line, key, found, allowed).
Drill read_drill(const std::string& path);
Drill parse_drill(std::string_view toml, const std::string& path);

}  // namespace ampturn::sim::drill
