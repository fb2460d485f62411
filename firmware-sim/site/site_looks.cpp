#include <fmt/format.h>

#include <algorithm>

#include "firmware-sim/site/site.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/sweep/table_files.hpp"

/// What a look, a meter or a call shows to the one who asks.
namespace ampturn::sim::site {

namespace {

constexpr double weak_below = 0.6;   // of the strength planned; what the crew calls weak
constexpr double low_battery = 0.4;  // state of charge

}  // namespace

std::optional<Site::Look> Site::look(Action action) {
    switch (action) {
        case Action::measure_battery:
            return look_at_battery();
        case Action::measure_loop_a:
            return look_at_loop(0);
        case Action::measure_loop_b:
            return look_at_loop(1);
        case Action::check_plugs:
            return look_at_plugs();
        case Action::measure_capacitor:
            return has(Fault::capacitor_drifted)
                       ? Look{Finding::capacitor_drifted,
                              "each reads 1.3 times what is printed on it: heat or age"}
                       : Look{Finding::capacitor_good, "each within 5 % of what is printed on it"};
        case Action::read_back_table:
            return look_at_table();
        case Action::check_area:
            return look_at_area();
        case Action::look_at_masts:
            return has(Fault::mast_down)
                       ? Look{Finding::mast_down, "the mast of loop A is down, the wire lies on the ground"}
                       : Look{Finding::masts_standing, "both stand, guys tight"};
        case Action::call_receiver:
            return call_receiver();
        case Action::look_at_records:
            return look_at_records();
        case Action::check_clock:
            return clock_locked() ? Look{Finding::clock_locked, "locked to the second marks"}
                                  : Look{Finding::clock_not_locked, "not locked: the reference drifts"};
        default:  // shows nothing
            return std::nullopt;
    }
}

Site::Look Site::look_at_battery() const {
    const model::transmitter::BatteryBank& bank = transmitter_.setup.transmitter.design.battery;
    const double temperature_c = transmitter_.air_c + unit_.plant().faults.battery_temperature_offset_k;
    const model::transmitter::KineticWells wells = model::transmitter::wells(bank, temperature_c);
    const double soc = model::transmitter::soc_available(wells, unit_.plant().charge);
    const double rest_v = model::transmitter::battery_source(bank, soc, temperature_c).ocv_v;
    if (has(Fault::reversed_leads))
        return {Finding::battery_reversed,
                fmt::format("{:.2f} V: the positive clip is on the negative lead", -rest_v)};
    if (has(Fault::weak_battery))
        return {Finding::battery_low,
                fmt::format("{:.2f} V at rest, falls at once with the test lamp: weak", rest_v)};
    if (has(Fault::cold_battery))
        return {Finding::battery_low,
                fmt::format("{:.2f} V at rest, but the case is at {:.0f} C: little of its charge can be had",
                            rest_v, temperature_c)};
    if (soc < low_battery) return {Finding::battery_low, fmt::format("{:.2f} V at rest: low", rest_v)};
    return {Finding::battery_good, fmt::format("{:.2f} V at rest, polarity right", rest_v)};
}

Site::Look Site::look_at_loop(std::size_t index) const {
    const bool a = index == 0;
    const auto& taps = a ? transmitter_.setup.transmitter.taps_a : transmitter_.setup.transmitter.taps_b;
    if (taps.empty()) return {Finding::loop_b_open, "there is no such loop"};
    const model::loop::LoopTap& tap = taps.back();
    const double ohm = tap.resistance_dc_20c_ohm + tap.lead_resistance_ohm;
    if (has(a ? Fault::open_loop_a : Fault::open_loop_b))
        return {a ? Finding::loop_a_open : Finding::loop_b_open, "no continuity: the cable is broken"};
    if (has(a ? Fault::loose_connector_a : Fault::loose_connector_b))
        return {a ? Finding::loop_a_open : Finding::loop_b_open,
                fmt::format("{:.2f} ohm, and nothing when the plug is moved: loose", ohm)};
    if (has(a ? Fault::shorted_loop_a : Fault::shorted_loop_b))
        return {a ? Finding::loop_a_shorted : Finding::loop_b_shorted,
                fmt::format("0.02 ohm where {:.2f} is right: crushed", ohm)};
    if (has(a ? Fault::wet_connector_a : Fault::wet_connector_b))
        return {a ? Finding::loop_a_leaking : Finding::loop_b_leaking,
                fmt::format("{:.2f} ohm, insulation 0.08 Mohm where 1 is asked: wet plug",
                            ohm + wet_contact_ohm)};
    return {a ? Finding::loop_a_good : Finding::loop_b_good,
            fmt::format("{:.2f} ohm, insulation above 20 Mohm", ohm)};
}

Site::Look Site::look_at_plugs() const {
    std::string wrong;
    if (has(Fault::plugs_exchanged)) wrong = "the plug tagged A goes to terminal B";
    for (const auto& [fault, name] : {std::pair{Fault::loop_a_reversed, 'A'}, {Fault::loop_b_reversed, 'B'}})
        if (has(fault))
            wrong += fmt::format("{}the arrow on the leads of {} points against the one on its loop",
                                 wrong.empty() ? "" : "; ", name);
    if (!wrong.empty()) return {Finding::plugs_wrong, wrong};
    return {Finding::plugs_right, "A to A, B to B, arrows along the loops"};
}

Site::Look Site::look_at_area() {
    area_checked_ = !has(Fault::person_in_ring) && !has(Fault::mast_down);
    if (has(Fault::person_in_ring)) return {Finding::area_not_clear, "somebody is inside the keep-out ring"};
    if (has(Fault::mast_down))
        return {Finding::mast_down, "the mast of loop A is down, the wire lies across the ring"};
    return {Finding::area_clear, "nobody and no animal inside the keep-out ring"};
}

Site::Look Site::look_at_table() const {
    const std::string held = sweep::image_crc32(unit_.core().table(), transmitter_.setup.config.clock_hz);
    if (table_is_right()) return {Finding::table_right, fmt::format("{}, as on the sheet", held)};
    return {Finding::table_stale,
            fmt::format("{}, but the sheet says {}: another table", held, transmitter_.table_crc32)};
}

Site::Look Site::call_receiver() {
    if (has(Fault::radio_dead)) return {Finding::radio_silence, "no answer, not even a click"};
    if (crew_.empty() ? !receiver_can_record() : !recording_)
        return {Finding::receiver_not_ready, "receiver crew: wait, not recording yet"};
    const Look records = look_at_records();
    if (records.finding != Finding::record_good && records.finding != Finding::record_empty)
        return {records.finding, "receiver crew: " + records.text};
    return {Finding::receiver_ready,
            fmt::format("receiver crew: recording, start read back; their sheet has table \"{}\", {}",
                        transmitter_.table_name, transmitter_.table_crc32)};
}

Site::Look Site::look_at_records() {
    if (!crew_.empty() && !recording_) return {Finding::record_empty, "the recorder stands"};
    if (has(Fault::mains_hum))
        return {
            Finding::record_clipped,
            "the mains and its harmonics stand at full scale, everything is clipped: a power line close by"};
    const core::Sequencer& core = unit_.core();
    const core::Progress progress = core.progress();
    if (!core.drive().on || progress.phase != core::Phase::dwell)
        return {Finding::record_empty, "nothing of the transmitter on the records now"};
    unit_.measure_now();
    const core::Step& step = core.table().steps[progress.step_index];
    const bool exchanged = has(Fault::plugs_exchanged) && step.loop != core::Loop::both_in_quadrature;
    if (exchanged)
        return {Finding::record_wrong_loop,
                fmt::format("the field lies along the other loop than {}, which the table sends now",
                            run::name_of(step.loop))};
    const bool feeds_a = step.loop != core::Loop::b, feeds_b = step.loop != core::Loop::a;
    if ((feeds_a && has(Fault::loop_a_reversed)) || (feeds_b && has(Fault::loop_b_reversed)))
        return {Finding::record_reversed, "the field has its strength, but stands on its head: 180 degrees"};
    const core::Reading& reading = core.last_reading();
    double strength =
        std::max(feeds_a ? reading.loop_current_ma[0] : 0u, feeds_b ? reading.loop_current_ma[1] : 0u) /
        static_cast<double>(step.current_ma_peak);
    if (feeds_a) strength *= unit_.plant().faults.area_factor[0];
    const std::string words =
        fmt::format("{:.1f} Hz at {:.0f} % of the strength planned",
                    static_cast<double>(transmitter_.setup.config.clock_hz) / step.divisor, 100 * strength);
    if (strength < weak_below) return {Finding::record_weak, words};
    return {Finding::record_good, words + ", right way up"};
}

}  // namespace ampturn::sim::site
