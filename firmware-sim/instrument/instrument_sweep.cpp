#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "firmware-sim/instrument/instrument.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::instrument {

using run::name_of;

using scpi::ErrorCode;
using scpi::Limits;
using scpi::Parameters;
using scpi::Refused;

// ---- the sweep table: LIST

void Instrument::add_lists() {
    add("[SOURce]:LIST:FREQuency", &Instrument::set_frequency, true);
    add("[SOURce]:LIST:FREQuency?", &Instrument::get_frequency);
    add("[SOURce]:LIST:FREQuency:POINts?", &Instrument::frequency_points);
    add("[SOURce]:LIST:CURRent", &Instrument::set_current, true);
    add("[SOURce]:LIST:CURRent?", &Instrument::get_current);
    add("[SOURce]:LIST:CURRent:POINts?", &Instrument::current_points);
    add("[SOURce]:LIST:DWELl", &Instrument::set_dwell, true);
    add("[SOURce]:LIST:DWELl?", &Instrument::get_dwell);
    add("[SOURce]:LIST:DWELl:POINts?", &Instrument::dwell_points);
    add("[SOURce]:LIST:COUNt", &Instrument::set_count, true);
    add("[SOURce]:LIST:COUNt?", &Instrument::get_count);
    add("[SOURce]:LIST:LOOP", &Instrument::set_loop, true);
    add("[SOURce]:LIST:LOOP?", &Instrument::get_loop);
    add("[SOURce]:LIST:LOOP:POINts?", &Instrument::loop_points);
    add("[SOURce]:LIST:TAP", &Instrument::set_tap, true);
    add("[SOURce]:LIST:TAP?", &Instrument::get_tap);
    add("[SOURce]:LIST:TAP:POINts?", &Instrument::tap_points);
    add("[SOURce]:LIST:CAPacitor", &Instrument::set_capacitor, true);
    add("[SOURce]:LIST:CAPacitor?", &Instrument::get_capacitor);
    add("[SOURce]:LIST:CAPacitor:POINts?", &Instrument::capacitor_points);
    add("[SOURce]:LIST:IMAGe", &Instrument::set_image, true);
    add("[SOURce]:LIST:IMAGe?", &Instrument::get_image);
    add("[SOURce]:LIST:STEP?", &Instrument::get_step);
}

Limits Instrument::frequency_limits() const {
    const core::Config& config = site_.transmitter().setup.config;
    return {static_cast<double>(config.clock_hz) / config.limits.divisor_max,
            static_cast<double>(config.clock_hz) / std::max(2U, config.limits.divisor_min), 1000,
            scpi::PhysicalUnit::hertz, "frequency, Hz"};
}
Limits Instrument::current_limits() const {
    return {0.001, 1e-3 * site_.transmitter().setup.config.limits.current_ma_peak_max, 1,
            scpi::PhysicalUnit::ampere, "peak current, A"};
}
Limits Instrument::dwell_limits() { return {0.001, 86400, 10, scpi::PhysicalUnit::second, "dwell, s"}; }

namespace {

template <class Value, class Text>
std::string joined(const std::vector<Value>& values, Text text) {
    std::string all;
    for (const Value& value : values) all += (all.empty() ? "" : ",") + text(value);
    return all;
}

}  // namespace

void Instrument::set_frequency(Client&, Parameters& parameters) {
    need_idle();
    std::vector<double> values = parameters.numbers(frequency_limits(), core::steps_max);
    for (double& value : values)
        value = actual_frequency_hz(value, site_.transmitter().setup.config.clock_hz);
    lists_.frequency_hz = std::move(values);
    lists_changed_ = true;
}
void Instrument::get_frequency(Client& client, Parameters& parameters) {
    const Limits allowed = frequency_limits();
    const double* limit = scpi::requested_limit(parameters, allowed);
    parameters.end();
    respond(client, limit ? scpi::nr3(*limit) : joined(lists_.frequency_hz, scpi::nr3));
}
void Instrument::set_current(Client&, Parameters& parameters) {
    need_idle();
    lists_.current_a_peak = parameters.numbers(current_limits(), core::steps_max);
    lists_changed_ = true;
}
void Instrument::get_current(Client& client, Parameters& parameters) {
    const Limits allowed = current_limits();
    const double* limit = scpi::requested_limit(parameters, allowed);
    parameters.end();
    respond(client, limit ? scpi::nr3(*limit) : joined(lists_.current_a_peak, scpi::nr3));
}
void Instrument::set_dwell(Client&, Parameters& parameters) {
    need_idle();
    lists_.dwell_s = parameters.numbers(dwell_limits(), core::steps_max);
    lists_changed_ = true;
}
void Instrument::get_dwell(Client& client, Parameters& parameters) {
    const Limits allowed = dwell_limits();
    const double* limit = scpi::requested_limit(parameters, allowed);
    parameters.end();
    respond(client, limit ? scpi::nr3(*limit) : joined(lists_.dwell_s, scpi::nr3));
}
void Instrument::set_count(Client&, Parameters& parameters) {
    need_idle();
    const auto count = parameters.integer(1, 65535, "sweeps");
    parameters.end();
    lists_.sweep_count = static_cast<std::uint16_t>(count);
    lists_changed_ = true;
}
void Instrument::get_count(Client& client, Parameters& parameters) {
    constexpr Limits limits{1, 65535, 1, scpi::PhysicalUnit::none, "sweeps"};
    const double* limit = scpi::requested_limit(parameters, limits);
    parameters.end();
    respond(client, fmt::format("{}", limit ? static_cast<int>(*limit) : lists_.sweep_count));
}
void Instrument::set_loop(Client&, Parameters& parameters) {
    need_idle();
    constexpr core::Loop loops[] = {core::Loop::a, core::Loop::b, core::Loop::both_in_quadrature};
    lists_.loop = parameters.list(core::steps_max, [&] {
        return loops[parameters.choice({"A", "B", "BOTH"})];
    });
    lists_changed_ = true;
}
void Instrument::get_loop(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, joined(lists_.loop, [](core::Loop loop) {
                return std::string(loop == core::Loop::both_in_quadrature ? "BOTH" : name_of(loop));
            }));
}
namespace {
std::vector<std::uint8_t> small_numbers(Parameters& parameters, std::uint8_t min, std::uint8_t max,
                                        const char* name) {
    return parameters.list(core::steps_max,
                           [&] { return static_cast<std::uint8_t>(parameters.integer(min, max, name)); });
}
/// The values, or the lowest or highest where MIN, MAX or DEF is asked for.
std::string small_answer(Parameters& parameters, std::uint8_t min, std::uint8_t max,
                         const std::vector<std::uint8_t>& values) {
    const Limits limits{static_cast<double>(min), static_cast<double>(max), static_cast<double>(min),
                        scpi::PhysicalUnit::none, "value"};
    const double* limit = scpi::requested_limit(parameters, limits);
    parameters.end();
    if (limit) return fmt::format("{}", static_cast<int>(*limit));
    return joined(values, [](std::uint8_t value) { return fmt::format("{}", value); });
}
}  // namespace
void Instrument::set_tap(Client&, Parameters& parameters) {
    need_idle();
    lists_.tap = small_numbers(parameters, 1, site_.transmitter().setup.config.limits.taps, "tap");
    lists_changed_ = true;
}
void Instrument::get_tap(Client& client, Parameters& parameters) {
    respond(client, small_answer(parameters, 1, site_.transmitter().setup.config.limits.taps, lists_.tap));
}
void Instrument::set_capacitor(Client&, Parameters& parameters) {
    need_idle();
    lists_.capacitor =
        small_numbers(parameters, 0, site_.transmitter().setup.config.limits.capacitors, "capacitor");
    lists_changed_ = true;
}
void Instrument::get_capacitor(Client& client, Parameters& parameters) {
    respond(client, small_answer(parameters, 0, site_.transmitter().setup.config.limits.capacitors,
                                 lists_.capacitor));
}
void Instrument::frequency_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.frequency_hz.size()));
}
void Instrument::current_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.current_a_peak.size()));
}
void Instrument::dwell_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.dwell_s.size()));
}
void Instrument::loop_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.loop.size()));
}
void Instrument::tap_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.tap.size()));
}
void Instrument::capacitor_points(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", lists_.capacitor.size()));
}

void Instrument::set_image(Client&, Parameters& parameters) {
    const std::string block = parameters.block();
    parameters.end();
    const core::TableCheck result =
        site_.load_image({reinterpret_cast<const std::uint8_t*>(block.data()), block.size()});
    if (result.reason != core::Refusal::none) {
        const bool busy = result.reason == core::Refusal::busy;
        throw Refused({busy ? ErrorCode::settings_conflict : ErrorCode::illegal_parameter_value,
                       fmt::format("image refused: {}", refusal_text(result))});
    }
    take_lists_of_unit();
}
void Instrument::get_image(Client& client, Parameters& parameters) {
    parameters.end();
    use_lists();
    std::array<std::uint8_t, core::image_bytes_max> bytes{};
    const std::size_t size =
        core::write_image(site_.unit().core().table(), site_.transmitter().setup.config.clock_hz, bytes);
    respond(client, scpi::definite_block({reinterpret_cast<const char*>(bytes.data()), size}));
}
void Instrument::get_step(Client& client, Parameters& parameters) {
    parameters.end();
    const core::Progress progress = site_.unit().core().progress();
    const bool in_step = progress.phase != core::Phase::none;
    respond(client, fmt::format("{},{}", in_step ? progress.step_index + 1 : 0, progress.step_count));
}

void Instrument::use_lists() {
    if (!lists_changed_) return;
    const BuiltTable built = table_of(lists_, site_.transmitter().setup.config);
    if (built.error.code != ErrorCode::none) throw Refused(built.error);
    const core::TableCheck result = site_.load(built.table);
    if (result.reason != core::Refusal::none) {
        throw Refused({ErrorCode::settings_conflict, refusal_text(result)});
    }
    take_lists_of_unit();
}

void Instrument::take_lists_of_unit() {
    lists_ = lists_of(site_.unit().core().table(), site_.transmitter().setup.config.clock_hz);
    lists_changed_ = false;
}

// ---- controls

void Instrument::add_controls() {
    add("ARM[:IMMediate]", &Instrument::arm, true);
    add("INITiate[:IMMediate]", &Instrument::initiate, true);
    add("ABORt", &Instrument::abort);  // stopping asks for no token
    add("TRIGger[:IMMediate]", &Instrument::trigger, true);
    add("TRIGger:SOURce", &Instrument::set_trigger_source, true);
    add("TRIGger:SOURce?", &Instrument::get_trigger_source);
    add("OUTPut[:STATe]?", &Instrument::get_output);
    add("OUTPut:PROTection:CLEar", &Instrument::clear_protection, true);
    add("OUTPut:PROTection:TRIPped?", &Instrument::get_tripped);
    add("OUTPut:PROTection:TRIPped:CAUSe?", &Instrument::get_trip_causes);
    add("MEASure:VOLTage[:DC]?", &Instrument::measure_voltage);
    add("MEASure:VOLTage[:DC]:BUS?", &Instrument::measure_bus);
    add("MEASure:CURRent[:AC]?", &Instrument::measure_current);
    add("MEASure:TEMPerature[:WINDing]?", &Instrument::measure_winding);
    add("MEASure:TEMPerature:ELECtronics?", &Instrument::measure_electronics);
}

void Instrument::arm(Client&, Parameters& parameters) {
    parameters.end();
    if (site_.state() == core::State::standby) use_lists();
    check(site_.control(core::Control::arm, current_name_), ErrorCode::arm_ignored);
}
void Instrument::initiate(Client&, Parameters& parameters) {
    parameters.end();
    if (trigger_by_bus_ && site_.state() == core::State::armed && !waiting_for_trigger_) {
        waiting_for_trigger_ = true;
        return;
    }
    if (waiting_for_trigger_) throw Refused({ErrorCode::init_ignored, "waiting for the trigger already"});
    check(site_.control(core::Control::go, current_name_), ErrorCode::init_ignored);
}
void Instrument::abort(Client&, Parameters& parameters) {
    parameters.end();
    waiting_for_trigger_ = false;
    const core::State state = site_.state();
    if (state == core::State::armed || state == core::State::warning || state == core::State::sending) {
        (void)site_.control(core::Control::stop, current_name_);
    }
}
void Instrument::trigger(Client&, Parameters& parameters) {
    parameters.end();
    if (!waiting_for_trigger_) {
        throw Refused({ErrorCode::trigger_ignored, "TRIG:SOUR BUS, ARM and INIT come first"});
    }
    waiting_for_trigger_ = false;
    check(site_.control(core::Control::go, current_name_), ErrorCode::trigger_ignored);
}
void Instrument::set_trigger_source(Client&, Parameters& parameters) {
    need_idle();
    const int choice = parameters.choice({"IMMediate", "BUS"});
    parameters.end();
    trigger_by_bus_ = choice == 1;
}
void Instrument::get_trigger_source(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, trigger_by_bus_ ? "BUS" : "IMM");
}
void Instrument::clear_protection(Client&, Parameters& parameters) {
    parameters.end();
    check(site_.control(core::Control::acknowledge, current_name_), ErrorCode::settings_conflict);
}
void Instrument::get_tripped(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, site_.unit().core().latched().empty() ? "0" : "1");
}
void Instrument::get_trip_causes(Client& client, Parameters& parameters) {
    parameters.end();
    const core::TripSet latched = site_.unit().core().latched();
    std::string causes;
    for (std::size_t i = 0; i < core::trip_count; ++i) {
        const auto trip = static_cast<core::Trip>(i);
        if (latched.has(trip)) causes += (causes.empty() ? "" : ",") + std::string(name_of(trip));
    }
    respond(client, causes.empty() ? "none" : causes);
}
void Instrument::get_output(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, core::may_energise(site_.state()) ? "1" : "0");
}

// ---- measurements: each takes a fresh reading of the unit's converters

void Instrument::measure_voltage(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, scpi::nr3(1e-3 * site_.measure().battery_mv));
}
void Instrument::measure_bus(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, scpi::nr3(1e-3 * site_.measure().bus_mv));
}
void Instrument::measure_current(Client& client, Parameters& parameters) {
    int loop = -1;
    if (parameters.left() > 0) loop = parameters.choice({"A", "B"});
    parameters.end();
    const core::Reading reading = site_.measure();
    const std::int32_t ma = loop >= 0 ? reading.loop_current_ma[static_cast<std::size_t>(loop)]
                                      : std::max(reading.loop_current_ma[0], reading.loop_current_ma[1]);
    respond(client, scpi::nr3(1e-3 * ma));
}
void Instrument::measure_winding(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, scpi::nr3(1e-3 * site_.measure().winding_mdeg_c));
}
void Instrument::measure_electronics(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, scpi::nr3(1e-3 * site_.measure().electronics_mdeg_c));
}

}  // namespace ampturn::sim::instrument
