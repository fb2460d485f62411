#include "firmware-sim/site/front_controls.hpp"

#include "scheduler/run/names.hpp"

namespace ampturn::sim::site {

namespace {

/// What stands in the way of a start.
std::string before_a_start(core::State state, bool key_turned) {
    switch (state) {
        case core::State::unpowered:
            return "the unit has no supply: battery positive first, then negative";
        case core::State::self_check:
            return "the self-check is running: wait for standby";
        case core::State::standby:
            return "turn the key first";
        case core::State::armed:
            return key_turned ? "the key is turned already: go" : "armed already";
        case core::State::warning:
            return "the warning runs already: it starts by itself";
        case core::State::sending:
            return "it is sending already";
        case core::State::stopping:
            return "it is stopping: wait for standby";
        case core::State::resting:
            return "it rests, too hot: wait until it goes on by itself, or stop";
        case core::State::tripped:
            return "a trip is latched: find the cause, then acknowledge";
    }
    return "not possible in this state";
}

}  // namespace

std::string why_not(core::Reply reply, core::Control control, core::State state) {
    if (reply == core::Reply::not_now) {
        switch (control) {
            case core::Control::go:
                return before_a_start(state, false);
            case core::Control::arm:
                return before_a_start(state, true);
            case core::Control::acknowledge:
                return "no trip is latched: nothing to acknowledge";
            case core::Control::emergency_reset:
                return "the emergency stop is not latched";
            case core::Control::disarm:
            case core::Control::stop:
                return "nothing runs that could be stopped";
            case core::Control::emergency_stop:
                break;
        }
    }
    return std::string(run::explain(reply));
}

}  // namespace ampturn::sim::site
