#include "firmware-sim/drill/timeline.hpp"

#include "firmware-sim/site/action.hpp"
#include "firmware-sim/site/fault.hpp"
#include "firmware-sim/site/words.hpp"

namespace ampturn::sim {

bool is_happening(std::string_view name) {
    if (name == "table:done") return true;
    const std::size_t colon = name.find(':');
    if (colon == std::string_view::npos) return false;
    const std::string_view kind = name.substr(0, colon), word = name.substr(colon + 1);
    if (kind == "did" || kind == "tried") return action_named(word).has_value();
    if (kind == "fault" || kind == "cleared") return fault_named(word).has_value();
    if (kind == "found") return is_finding(word);
    if (kind == "danger") return is_danger(word);
    if (kind == "state") return is_state(word);
    if (kind == "trip") return is_trip(word);
    return false;
}

}  // namespace ampturn::sim
