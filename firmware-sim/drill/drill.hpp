#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim {

/// A drill as read from its TOML file. docs/operating.md describes every key. Names of happenings are those
/// of the timeline (timeline.hpp): "did:connect_loop_a", "state:sending", "trip:open_loop", "fault:thunder".

/// What the site and the unit are like when the drill begins. Fault names are those of unit/fault.hpp.
struct DrillStart {
    double air_c = 15;
    double battery_state_of_charge = 1;
    bool connected = false;  // battery and both loops already connected, in the right order
    bool area_checked = false;
    double receiver_ready_after_s = 0;
    std::vector<std::string> faults;
    std::optional<std::string> plan;  // path, relative to the drill file
};

/// Something the scenario does by itself.
struct DrillEvent {
    std::optional<double> at_s;  // after the start of the drill
    std::string on;              // or: after this happening (its first, or every one with `every`)
    double after_s = 0;
    bool every = false;
    std::string fault;            // set it
    std::string clear;            // or clear it
    std::string say;              // or: a line of story shown to the trainee
    std::optional<double> for_s;  // a fault clears by itself after this
};

/// What a good operator does, in order; shown in the debrief.
struct GoodStep {
    std::string did;  // what it looks like in the timeline; empty if it leaves no trace
    std::string text;
    std::string why;
};

/// How points are given. `points` are the most a rule can give; a rule that was never put to the test gives
/// none and does not count in the total.
struct ScoreRule {
    enum class Kind {
        order,    // the happenings of `steps` come in this order; a share of the points for each that does
        before,   // each `then` has a `first` before it, since the last `since` if that is given
        within,   // after each `after` an `expect` follows within `seconds`
        never,    // `happening` does not occur; each occurrence takes all points
        reached,  // `happening` occurs
        at_most,  // `happening` occurs at most `count` times
    };
    Kind kind = Kind::reached;
    std::string id;
    double points = 0;
    bool critical = false;  // all points or the drill is not passed
    std::string reason;     // why it matters, said in the debrief
    std::vector<std::string> steps;
    std::string first, then, since, after, expect, happening;
    double seconds = 0;
    int count = 0;
};

struct Drill {
    std::string file;
    std::string id;  // file name without .toml
    std::string title;
    int level = 1;                   // 1 first start to 5 compound faults
    std::vector<std::string> story;  // paragraphs
    std::vector<std::string> cautions;
    DrillStart start;
    std::vector<DrillEvent> events;
    std::vector<GoodStep> good;
    std::vector<ScoreRule> rules;
    double time_limit_s = 3600;
    std::string ends_on;  // a happening that ends the drill; empty: only "finish" and the time limit
    double pass_percent = 70;
};

/// Reads and checks a drill; every fault of the file is a plan::InputError (file, line, key, found, allowed).
Drill read_drill(const std::string& path);
Drill parse_drill(std::string_view toml, const std::string& path);

}  // namespace ampturn::sim
