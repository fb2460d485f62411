#include "scheduler/day/activity.hpp"

namespace ampturn::day {

std::string_view name_of(Activity activity) {
    switch (activity) {
        case Activity::briefing:
            return "briefing";
        case Activity::travel:
            return "travel";
        case Activity::set_up:
            return "set_up";
        case Activity::sweep:
            return "sweep";
        case Activity::swap:
            return "swap";
        case Activity::rest:
            return "rest";
        case Activity::pack:
            return "pack";
        case Activity::stop:
            return "stop";
    }
    return "";
}

}  // namespace ampturn::day
