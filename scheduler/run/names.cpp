#include "scheduler/run/names.hpp"

namespace ampturn::run {

std::string_view name_of(core::State state) {
    switch (state) {
        case core::State::unpowered:
            return "unpowered";
        case core::State::self_check:
            return "self_check";
        case core::State::standby:
            return "standby";
        case core::State::armed:
            return "armed";
        case core::State::warning:
            return "warning";
        case core::State::sending:
            return "sending";
        case core::State::stopping:
            return "stopping";
        case core::State::resting:
            return "resting";
        case core::State::tripped:
            return "tripped";
    }
    return "?";
}

std::string_view name_of(core::Event event) {
    switch (event) {
        case core::Event::supply_present:
            return "supply_present";
        case core::Event::supply_lost:
            return "supply_lost";
        case core::Event::checks_passed:
            return "checks_passed";
        case core::Event::arm:
            return "arm";
        case core::Event::disarm:
            return "disarm";
        case core::Event::go:
            return "go";
        case core::Event::stop:
            return "stop";
        case core::Event::timeout:
            return "timeout";
        case core::Event::table_done:
            return "table_done";
        case core::Event::current_zero:
            return "current_zero";
        case core::Event::cooled:
            return "cooled";
        case core::Event::trip:
            return "trip";
        case core::Event::acknowledge:
            return "acknowledge";
    }
    return "?";
}

std::string_view name_of(core::Trip trip) {
    switch (trip) {
        case core::Trip::over_current:
            return "over_current";
        case core::Trip::open_loop:
            return "open_loop";
        case core::Trip::shorted_loop:
            return "shorted_loop";
        case core::Trip::under_voltage:
            return "under_voltage";
        case core::Trip::over_temperature_winding:
            return "over_temperature_winding";
        case core::Trip::over_temperature_electronics:
            return "over_temperature_electronics";
        case core::Trip::reversed_supply:
            return "reversed_supply";
        case core::Trip::table_fault:
            return "table_fault";
        case core::Trip::clock_fault:
            return "clock_fault";
        case core::Trip::watchdog:
            return "watchdog";
        case core::Trip::emergency_stop:
            return "emergency_stop";
    }
    return "?";
}

std::string_view name_of(core::Control control) {
    switch (control) {
        case core::Control::arm:
            return "arm";
        case core::Control::disarm:
            return "disarm";
        case core::Control::go:
            return "go";
        case core::Control::stop:
            return "stop";
        case core::Control::emergency_stop:
            return "emergency_stop";
        case core::Control::emergency_reset:
            return "emergency_reset";
        case core::Control::acknowledge:
            return "acknowledge";
    }
    return "?";
}

std::string_view name_of(core::Reply reply) {
    switch (reply) {
        case core::Reply::accepted:
            return "accepted";
        case core::Reply::not_now:
            return "not_now";
        case core::Reply::no_table:
            return "no_table";
        case core::Reply::too_hot:
            return "too_hot";
        case core::Reply::no_time:
            return "no_time";
        case core::Reply::cause_active:
            return "cause_active";
    }
    return "?";
}

std::string_view name_of(core::Phase phase) {
    switch (phase) {
        case core::Phase::none:
            return "none";
        case core::Phase::waiting:
            return "waiting";
        case core::Phase::breaking:
            return "breaking";
        case core::Phase::settling:
            return "settling";
        case core::Phase::ramp_up:
            return "ramp_up";
        case core::Phase::dwell:
            return "dwell";
        case core::Phase::last_cycle:
            return "last_cycle";
        case core::Phase::ramp_down:
            return "ramp_down";
        case core::Phase::gap:
            return "gap";
        case core::Phase::ending:
            return "ending";
    }
    return "?";
}

std::string_view name_of(core::Lamp lamp) {
    switch (lamp) {
        case core::Lamp::dark:
            return "dark";
        case core::Lamp::white:
            return "white";
        case core::Lamp::yellow:
            return "yellow";
        case core::Lamp::red:
            return "red";
        case core::Lamp::blue:
            return "blue";
    }
    return "?";
}

std::string_view name_of(core::Pattern pattern) {
    switch (pattern) {
        case core::Pattern::off:
            return "off";
        case core::Pattern::double_blink:
            return "double_blink";
        case core::Pattern::short_blink:
            return "short_blink";
        case core::Pattern::steady:
            return "steady";
        case core::Pattern::fast:
            return "fast";
        case core::Pattern::slow:
            return "slow";
        case core::Pattern::triple_blink:
            return "triple_blink";
    }
    return "?";
}

std::string_view name_of(core::Sounder sounder) {
    switch (sounder) {
        case core::Sounder::silent:
            return "silent";
        case core::Sounder::one_beep:
            return "one_beep";
        case core::Sounder::beeps_2_hz:
            return "beeps_2_hz";
        case core::Sounder::beep_a_minute:
            return "beep_a_minute";
        case core::Sounder::three_beeps:
            return "three_beeps";
    }
    return "?";
}

std::string_view name_of(core::Loop loop) {
    switch (loop) {
        case core::Loop::none:
            return "none";
        case core::Loop::a:
            return "A";
        case core::Loop::b:
            return "B";
        case core::Loop::both_in_quadrature:
            return "A+B";
    }
    return "?";
}

std::string_view name_of(core::Refusal refusal) {
    switch (refusal) {
        case core::Refusal::none:
            return "none";
        case core::Refusal::busy:
            return "busy";
        case core::Refusal::too_short:
            return "too_short";
        case core::Refusal::not_a_table:
            return "not_a_table";
        case core::Refusal::unknown_version:
            return "unknown_version";
        case core::Refusal::wrong_length:
            return "wrong_length";
        case core::Refusal::damaged:
            return "damaged";
        case core::Refusal::other_clock:
            return "other_clock";
        case core::Refusal::no_steps:
            return "no_steps";
        case core::Refusal::too_many_steps:
            return "too_many_steps";
        case core::Refusal::no_sweeps:
            return "no_sweeps";
        case core::Refusal::reserved_not_zero:
            return "reserved_not_zero";
        case core::Refusal::count_and_length_differ:
            return "count_and_length_differ";
        case core::Refusal::unknown_loop:
            return "unknown_loop";
        case core::Refusal::loop_not_fitted:
            return "loop_not_fitted";
        case core::Refusal::quadrature_not_possible:
            return "quadrature_not_possible";
        case core::Refusal::unknown_tap:
            return "unknown_tap";
        case core::Refusal::unknown_capacitor:
            return "unknown_capacitor";
        case core::Refusal::unknown_flag:
            return "unknown_flag";
        case core::Refusal::odd_divisor:
            return "odd_divisor";
        case core::Refusal::divisor_out_of_range:
            return "divisor_out_of_range";
        case core::Refusal::no_cycles:
            return "no_cycles";
        case core::Refusal::no_current:
            return "no_current";
        case core::Refusal::too_much_current:
            return "too_much_current";
        case core::Refusal::no_ramp:
            return "no_ramp";
        case core::Refusal::ramp_too_long:
            return "ramp_too_long";
        case core::Refusal::settle_too_short:
            return "settle_too_short";
        case core::Refusal::gap_too_short:
            return "gap_too_short";
        case core::Refusal::dwell_too_long:
            return "dwell_too_long";
    }
    return "?";
}

std::string_view name_of(core::RecordKind kind) {
    switch (kind) {
        case core::RecordKind::state:
            return "state";
        case core::RecordKind::trip:
            return "trip";
        case core::RecordKind::trip_cleared:
            return "trip_cleared";
        case core::RecordKind::step:
            return "step";
        case core::RecordKind::control:
            return "control";
        case core::RecordKind::table:
            return "table";
        case core::RecordKind::mark:
            return "mark";
    }
    return "?";
}

std::string_view explain(core::Reply reply) {
    switch (reply) {
        case core::Reply::accepted:
            return "accepted";
        case core::Reply::not_now:
            return "not possible in this state";
        case core::Reply::no_table:
            return "no sweep table is loaded";
        case core::Reply::too_hot:
            return "still above the restart temperature: let it cool";
        case core::Reply::no_time:
            return "the start waits for a UTC mark and the unit does not know UTC";
        case core::Reply::cause_active:
            return "the cause still stands: remove it first";
    }
    return "?";
}

std::string_view explain(core::Trip trip) {
    switch (trip) {
        case core::Trip::over_current:
            return "current above the limit: look for a short, then at the table";
        case core::Trip::open_loop:
            return "no current path: plugs first, then the cable";
        case core::Trip::shorted_loop:
            return "too little resistance: crushed cable or wet plug";
        case core::Trip::under_voltage:
            return "battery low under load: measure it at rest, warm or change it";
        case core::Trip::over_temperature_winding:
            return "loop cable too hot: let it cool, lay it out, lower the current";
        case core::Trip::over_temperature_electronics:
            return "unit too hot: free the vents, shade it, let it cool";
        case core::Trip::reversed_supply:
            return "leads reversed: negative off first, then swap";
        case core::Trip::table_fault:
            return "the stored table does not check: load it again";
        case core::Trip::clock_fault:
            return "the clock drifts or misses pulses: wait for lock";
        case core::Trip::watchdog:
            return "the unit lost its own timing or measurements: restart it";
        case core::Trip::emergency_stop:
            return "emergency stop pressed: find out why, then twist to release";
    }
    return "?";
}

std::string_view explain(core::Refusal refusal) {
    switch (refusal) {
        case core::Refusal::none:
            return "accepted";
        case core::Refusal::busy:
            return "the table cannot change while armed, warning, sending or stopping";
        case core::Refusal::too_short:
            return "fewer bytes than a header and a checksum";
        case core::Refusal::not_a_table:
            return "the first four bytes are not ATBL";
        case core::Refusal::unknown_version:
            return "unknown version of the layout";
        case core::Refusal::wrong_length:
            return "the length field differs from the bytes sent";
        case core::Refusal::damaged:
            return "the checksum does not fit";
        case core::Refusal::other_clock:
            return "made for another clock frequency";
        case core::Refusal::no_steps:
            return "no steps";
        case core::Refusal::too_many_steps:
            return "more than 64 steps";
        case core::Refusal::no_sweeps:
            return "no sweeps";
        case core::Refusal::reserved_not_zero:
            return "a reserved field is not zero";
        case core::Refusal::count_and_length_differ:
            return "the step count does not fill the length";
        case core::Refusal::unknown_loop:
            return "unknown loop";
        case core::Refusal::loop_not_fitted:
            return "loop not fitted";
        case core::Refusal::quadrature_not_possible:
            return "this driver cannot feed both loops";
        case core::Refusal::unknown_tap:
            return "unknown tap";
        case core::Refusal::unknown_capacitor:
            return "unknown capacitor";
        case core::Refusal::unknown_flag:
            return "unknown flag";
        case core::Refusal::odd_divisor:
            return "odd divisor";
        case core::Refusal::divisor_out_of_range:
            return "divisor out of range";
        case core::Refusal::no_cycles:
            return "dwell of no cycles";
        case core::Refusal::no_current:
            return "no current";
        case core::Refusal::too_much_current:
            return "current above the limit";
        case core::Refusal::no_ramp:
            return "no ramp";
        case core::Refusal::ramp_too_long:
            return "ramp too long";
        case core::Refusal::settle_too_short:
            return "settle time too short for a change of selection";
        case core::Refusal::gap_too_short:
            return "gap too short for a change of selection";
        case core::Refusal::dwell_too_long:
            return "dwell too long";
    }
    return "?";
}

}  // namespace ampturn::run
