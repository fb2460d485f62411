#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "firmware-sim/instrument/instrument.hpp"
#include "scheduler/base/secret.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::instrument {

using run::name_of;

using scpi::ErrorCode;
using scpi::Parameters;
using scpi::Refused;

// ---- IEEE 488.2 common commands

void Instrument::add_common() {
    add("*CLS", &Instrument::clear_status);
    add("*ESE", &Instrument::set_event_enable);
    add("*ESE?", &Instrument::get_event_enable);
    add("*ESR?", &Instrument::get_event_status);
    add("*IDN?", &Instrument::identify);
    add("*OPC", &Instrument::operation_complete);
    add("*OPC?", &Instrument::wait_operation_complete);
    add("*RST", &Instrument::reset, true);
    add("*SRE", &Instrument::set_service_enable);
    add("*SRE?", &Instrument::get_service_enable);
    add("*STB?", &Instrument::get_status_byte);
    add("*TRG", &Instrument::bus_trigger, true);
    add("*TST?", &Instrument::self_test);
    add("*WAI", &Instrument::wait_to_continue);
}

void Instrument::clear_status(Client& client, Parameters& parameters) {
    parameters.end();
    client.status.clear();
    client.opc_wanted = false;
}
void Instrument::set_event_enable(Client& client, Parameters& parameters) {
    const auto mask = parameters.plain_integer(0, 255, "mask");
    parameters.end();
    client.status.set_event_enable(static_cast<std::uint8_t>(mask));
}
void Instrument::get_event_enable(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", client.status.event_enable()));
}
void Instrument::get_event_status(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", client.status.take_event()));
}
void Instrument::identify(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("Ampturn,simulated loop transmitter,0,{}", base::version()));
    client.indefinite = true;
}
void Instrument::operation_complete(Client& client, Parameters& parameters) {
    parameters.end();
    client.opc_wanted = true;
    if (!operation_pending()) {
        client.opc_wanted = false;
        client.status.set_event(scpi::esr::operation_complete);
    }
}
void Instrument::wait_operation_complete(Client& client, Parameters& parameters) {
    parameters.end();
    client.holds = client.opc_query = true;
}
void Instrument::wait_to_continue(Client& client, Parameters& parameters) {
    parameters.end();
    client.holds = true;
}
void Instrument::reset(Client& client, Parameters& parameters) {
    parameters.end();
    waiting_for_trigger_ = trigger_by_bus_ = false;
    client.opc_wanted = client.opc_query = false;
    const core::State state = site_.state();
    if (state == core::State::armed) {
        (void)site_.control(core::Control::disarm, current_name_);
    } else if (state == core::State::warning || state == core::State::sending) {
        (void)site_.control(core::Control::stop, current_name_);
    }
    lists_ = lists_of(site_.transmitter().table, site_.transmitter().setup.config.clock_hz);
    lists_changed_ = true;  // becomes the unit's table at the next ARM
}
void Instrument::set_service_enable(Client& client, Parameters& parameters) {
    const auto mask = parameters.plain_integer(0, 255, "mask");
    parameters.end();
    client.status.set_service_enable(static_cast<std::uint8_t>(mask));
}
void Instrument::get_service_enable(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", client.status.service_enable()));
}
void Instrument::get_status_byte(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", client.status.byte(client.responded)));
}
void Instrument::self_test(Client& client, Parameters& parameters) {
    parameters.end();
    const core::Sequencer& core = site_.unit().core();
    int result = 0;
    if (core.state() == core::State::unpowered) result = 1;
    if (!core.latched().empty()) result = 100 + static_cast<int>(core.first_trip());
    respond(client, fmt::format("{}", result));
}
void Instrument::bus_trigger(Client& client, Parameters& parameters) { trigger(client, parameters); }

// ---- SYSTem and STATus

void Instrument::add_system() {
    add("SYSTem:ERRor[:NEXT]?", &Instrument::next_error);
    add("SYSTem:ERRor:ALL?", &Instrument::all_errors);
    add("SYSTem:ERRor:COUNt?", &Instrument::count_errors);
    add("SYSTem:ERRor:CODE[:NEXT]?", &Instrument::next_error_code);
    add("SYSTem:ERRor:CODE:ALL?", &Instrument::all_error_codes);
    add("SYSTem:VERSion?", &Instrument::get_version);
    add("SYSTem:TIME?", &Instrument::get_time);
    add("SYSTem:DATE?", &Instrument::get_date);
    add("SYSTem:STATe?", &Instrument::get_state);
    add("SYSTem:HELP:HEADers?", &Instrument::get_headers);
    add("SYSTem:PASSword:CENable", &Instrument::password_enable);
    add("SYSTem:PASSword[:CENable]:STATe?", &Instrument::password_state);
    add("SYSTem:PASSword:CDISable", &Instrument::password_disable);
    add_group<&scpi::Status::operation>("STATus:OPERation");
    add_group<&scpi::Status::questionable>("STATus:QUEStionable");
    add("STATus:PRESet", &Instrument::status_preset);
}

namespace {

std::string code_text(const scpi::Error& error) { return fmt::format("{}", static_cast<int>(error.code)); }

/// Empties the queue; "no error" where it is empty.
std::string all_of(scpi::ErrorQueue& errors, std::string (*text)(const scpi::Error&)) {
    std::string all = text(errors.pop());
    while (!errors.empty()) all += "," + text(errors.pop());
    return all;
}

}  // namespace

void Instrument::next_error(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, scpi::format_error(client.status.errors().pop()));
}
void Instrument::all_errors(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, all_of(client.status.errors(), scpi::format_error));
}
void Instrument::next_error_code(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, code_text(client.status.errors().pop()));
}
void Instrument::all_error_codes(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, all_of(client.status.errors(), code_text));
}
void Instrument::count_errors(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", client.status.errors().size()));
}
void Instrument::get_version(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, "1999.0");
}

namespace {

/// The unit's own UTC; -1 when it does not know it.
std::int64_t unit_utc_s(const site::Site& site) {
    const core::UtcClock& utc = site.unit().core().utc();
    if (!utc.known()) return -1;
    const auto next = static_cast<std::int64_t>(utc.second_at_or_after(site.now()));
    return utc.instant_of(static_cast<std::uint64_t>(next)) == site.now() ? next : next - 1;
}

}  // namespace

void Instrument::get_time(Client& client, Parameters& parameters) {
    parameters.end();
    const std::int64_t utc = unit_utc_s(site_);
    if (utc < 0) throw Refused({ErrorCode::data_corrupt, "the unit does not know UTC yet"});
    const std::int64_t second = utc % 86400;
    respond(client, fmt::format("{},{},{}", second / 3600, second / 60 % 60, second % 60));
}
void Instrument::get_date(Client& client, Parameters& parameters) {
    parameters.end();
    const std::int64_t utc = unit_utc_s(site_);
    if (utc < 0) throw Refused({ErrorCode::data_corrupt, "the unit does not know UTC yet"});
    const std::chrono::sys_days day{std::chrono::days{utc / 86400}};
    const std::chrono::year_month_day date{day};
    respond(client, fmt::format("{},{},{}", static_cast<int>(date.year()),
                                static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day())));
}
void Instrument::get_state(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, std::string(name_of(site_.state())));
}
void Instrument::get_headers(Client& client, Parameters& parameters) {
    parameters.end();
    // SCPI-99, volume 2, 21.8 (from memory): each header once, marked where it is a query or a command only.
    const std::vector<std::string>& known = headers();
    const auto has = [&](const std::string& header) {
        return std::find(known.begin(), known.end(), header) != known.end();
    };
    std::string all;
    for (const std::string& header : known) {
        const bool query = header.ends_with('?');
        const std::string command = query ? header.substr(0, header.size() - 1) : header;
        if (query && has(command)) continue;  // told with the command
        all.append(header).append(query ? "/qonly/" : has(command + "?") ? "" : "/nquery/").append("\n");
    }
    respond(client, scpi::definite_block(all));
}
void Instrument::password_enable(Client& client, Parameters& parameters) {
    const std::string given = parameters.string();
    parameters.end();
    if (token_.empty()) return;
    if (!base::same_secret(given, token_))
        throw Refused({ErrorCode::illegal_parameter_value, "not the token of this session"});
    client.trusted = true;
}
void Instrument::password_disable(Client& client, Parameters& parameters) {
    parameters.end();
    if (!token_.empty()) client.trusted = false;
}
void Instrument::password_state(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, client.trusted ? "1" : "0");
}

template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::add_group(const char* name) {
    const auto leaf = [&](const char* rest) { return std::string(name) + rest; };
    add(leaf("[:EVENt]?").c_str(), &Instrument::group_event<group>);
    add(leaf(":CONDition?").c_str(), &Instrument::group_condition<group>);
    add(leaf(":ENABle").c_str(), &Instrument::group_set_enable<group>);
    add(leaf(":ENABle?").c_str(), &Instrument::group_get_enable<group>);
    add(leaf(":PTRansition").c_str(), &Instrument::group_set_positive<group>);
    add(leaf(":PTRansition?").c_str(), &Instrument::group_get_positive<group>);
    add(leaf(":NTRansition").c_str(), &Instrument::group_set_negative<group>);
    add(leaf(":NTRansition?").c_str(), &Instrument::group_get_negative<group>);
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_event(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", (client.status.*group).take_event()));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_condition(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", (client.status.*group).condition()));
}
namespace {
std::uint16_t sixteen_bits(Parameters& parameters) {
    const auto mask = parameters.integer(0, 65535, "mask");
    parameters.end();
    return static_cast<std::uint16_t>(mask);
}
}  // namespace
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_set_enable(Client& client, Parameters& parameters) {
    (client.status.*group).set_enable(sixteen_bits(parameters));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_get_enable(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", (client.status.*group).enable()));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_set_positive(Client& client, Parameters& parameters) {
    (client.status.*group).set_positive(sixteen_bits(parameters));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_get_positive(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", (client.status.*group).positive()));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_set_negative(Client& client, Parameters& parameters) {
    (client.status.*group).set_negative(sixteen_bits(parameters));
}
template <scpi::RegisterGroup scpi::Status::*group>
void Instrument::group_get_negative(Client& client, Parameters& parameters) {
    parameters.end();
    respond(client, fmt::format("{}", (client.status.*group).negative()));
}
void Instrument::status_preset(Client& client, Parameters& parameters) {
    parameters.end();
    client.status.operation.preset();
    client.status.questionable.preset();
}

}  // namespace ampturn::sim::instrument
