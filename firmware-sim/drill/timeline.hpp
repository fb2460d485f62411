#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim {

/// One happening of a drill. `name` has a class and a word:
///     did:ACTION      the operator did it            tried:ACTION   it was refused or impossible
///     found:WORD      what a check showed            danger:WORD    someone could have been hurt
///     state:STATE     the unit entered the state     trip:CAUSE     a trip was latched
///     fault:NAME      the scenario set a fault       cleared:NAME   the fault ended
///     table:done      the whole table was sent       say:           a line of story (in `text`)
///     remark:         by the instructor (in `text`)
struct Happening {
    double time_s = 0;  // after the start of the drill, virtual time
    std::string name;
    std::string who;   // panel#1, instructor#1, tcp#2; empty for the unit and the scenario
    std::string text;  // for people
};

using Timeline = std::vector<Happening>;

/// True if a drill may speak of it: one of the classes above with a word that exists. "say:" and "remark:"
/// cannot be named by a drill.
bool is_happening(std::string_view name);

}  // namespace ampturn::sim
