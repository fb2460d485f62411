#pragma once

#include <string>
#include <vector>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/drill/timeline.hpp"

namespace ampturn::sim::drill {

/// Points that each needless check or repair costs.
inline constexpr double needless_costs = 2;
/// And each kind of danger that no rule of the drill speaks of: negative before positive, a hand on an armed loop.
inline constexpr double danger_costs = 10;

/// The verdict on one rule.
struct RuleScore {
    std::string id;
    bool critical = false;
    bool tested = false;  // false: nothing happened that it speaks about
    double points = 0;    // given
    double points_max = 0;
    std::string reason;   // the rule's own
    std::string verdict;  // what was seen, with times
};

struct Score {
    std::vector<RuleScore> rules;
    double points = 0;
    double points_max = 0;  // of the rules put to the test
    double percent = 0;     // 0 when no rule was put to the test
    bool passed = false;
    std::string goal;                       // a sentence: reached, when, or not; empty for a drill without
    std::vector<std::string> missed_musts;  // why, and what was seen
    std::vector<std::string> needless;      // needless_work.hpp, with its time
    double needless_points = 0;             // taken off `points`
    std::vector<std::string>
        dangers;  // that happened and no rule of the drill speaks of, each kind once, with its time
    double danger_points = 0;  // taken off `points`
};

/// Pure: the same drill and timeline give the same score. Its events are in time order. `end_s` is the end of
/// the drill: a reaction that is still in time then is not counted as missing.
Score score(const Drill& drill, const Timeline& timeline, double end_s);

}  // namespace ampturn::sim::drill
