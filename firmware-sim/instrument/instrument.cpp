#include "firmware-sim/instrument/instrument.hpp"

#include <fmt/format.h>

#include <utility>

#include "scheduler/run/names.hpp"

namespace ampturn::sim::instrument {

using run::explain;
using run::name_of;

using scpi::Error;
using scpi::ErrorCode;
using scpi::Parameters;
using scpi::Refused;

Instrument::Instrument(site::Site& site, std::string token, Answer answer)
    : site_(site), token_(std::move(token)), answer_(std::move(answer)) {
    add_common();
    add_system();
    add_lists();
    add_controls();
    take_lists_of_unit();
}

void Instrument::add(const char* pattern, Handler handler, bool changes) {
    tree_.add(pattern, static_cast<int>(entries_.size()));
    entries_.push_back({handler, changes});
}

void Instrument::report_to_all(const scpi::Error& error) {
    for (auto& [id, client] : clients_) client.status.report(error);
}

void Instrument::open(ClientId id, bool trusted, const std::string& name) {
    Client client;
    client.trusted = trusted || token_.empty();
    client.name = name;
    set_conditions(client.status);
    client.status.operation.clear_event();
    client.status.questionable.clear_event();
    clients_.emplace(id, std::move(client));
}

void Instrument::close(ClientId id) { clients_.erase(id); }

void Instrument::message(ClientId id, const std::string& text) {
    const auto found = clients_.find(id);
    if (found == clients_.end()) return;
    Client& client = found->second;
    scpi::Message message = scpi::lex(text);
    client.waiting.assign(std::make_move_iterator(message.commands.begin()),
                          std::make_move_iterator(message.commands.end()));
    client.ends_with = std::move(message.error);
    client.position.reset();
    client.response.clear();
    client.responded = client.indefinite = false;
    client.in_message = true;
    proceed(id, client);
}

void Instrument::overrun(ClientId id, const std::string& detail) {
    const auto found = clients_.find(id);
    if (found == clients_.end()) return;
    found->second.status.report({ErrorCode::input_buffer_overrun, detail});
    answer_(id, "", true);
}

void Instrument::proceed(ClientId id, Client& client) {
    while (client.in_message) {
        if (client.holds) {
            if (operation_pending()) return;
            client.holds = false;
            if (std::exchange(client.opc_query, false)) respond(client, "1");
        }
        if (client.waiting.empty()) break;
        const scpi::Command command = std::move(client.waiting.front());
        client.waiting.pop_front();
        run_unit(client, command);
    }
    client.in_message = false;
    if (client.ends_with) client.status.report(*std::exchange(client.ends_with, std::nullopt));
    std::string answer = std::exchange(client.response, {});
    if (client.responded) answer += "\n";
    answer_(id, answer, true);
}

void Instrument::run_unit(Client& client, const scpi::Command& command) {
    const auto shown = [&] {
        std::string text = command.from_root ? ":" : "";
        for (std::size_t i = 0; i < command.header.size(); ++i) text += (i ? ":" : "") + command.header[i];
        return text + (command.query ? "?" : "");
    };
    // A command error ends the message: what follows may have been meant for another place of the tree.
    const auto command_error = [&](Error error) {
        client.status.report(std::move(error));
        client.waiting.clear();
        client.ends_with.reset();
    };
    const std::optional<int> index = tree_.find(command, client.position);
    if (!index)
        return command_error({tree_.suffix_is_wrong(command, client.position)
                                  ? ErrorCode::header_suffix_out_of_range
                                  : ErrorCode::undefined_header,
                              shown()});
    const Entry& entry = entries_[static_cast<std::size_t>(*index)];
    if (command.query && client.indefinite) {
        client.status.report({ErrorCode::query_after_indefinite, shown()});
        return;
    }
    if (entry.changes && !client.trusted) {
        client.status.report(
            {ErrorCode::command_protected, fmt::format("{}; SYST:PASS:CEN opens it", shown())});
        return;
    }
    try {
        Parameters parameters(command.data);
        current_name_ = client.name;
        set_conditions(client.status);  // an earlier unit of the message may have changed them
        (this->*entry.run)(client, parameters);
    } catch (const Refused& refused) {
        if (static_cast<int>(refused.error.code) > -200) {
            command_error(refused.error);
        } else {
            client.status.report(refused.error);
        }
    }
}

void Instrument::respond(Client& client, const std::string& text) {
    if (client.responded) client.response += ";";
    client.response += text;
    client.responded = true;
}

bool Instrument::operation_pending() const {
    const core::State state = site_.state();
    return waiting_for_trigger_ || state == core::State::warning || core::may_energise(state);
}

void Instrument::set_conditions(scpi::Status& status) const {
    const core::Sequencer& core = site_.unit().core();
    const core::State state = core.state();
    const core::TripSet standing = core.active();
    unsigned operation = 0, questionable = 0;
    if (core.progress().phase == core::Phase::settling) operation |= scpi::operation::settling;
    if (core::may_energise(state)) operation |= scpi::operation::sweeping;
    if (waiting_for_trigger_) operation |= scpi::operation::waiting_for_trigger;
    if (state == core::State::standby) operation |= scpi::operation::waiting_for_arm;
    using core::Trip;
    if (standing.has(Trip::under_voltage) || standing.has(Trip::reversed_supply) ||
        state == core::State::unpowered) {
        questionable |= scpi::questionable::voltage;
    }
    if (standing.has(Trip::over_current) || standing.has(Trip::open_loop) ||
        standing.has(Trip::shorted_loop)) {
        questionable |= scpi::questionable::current;
    }
    if (standing.has(Trip::over_temperature_winding) || standing.has(Trip::over_temperature_electronics) ||
        state == core::State::resting) {
        questionable |= scpi::questionable::temperature;
    }
    if (!core.utc().known()) questionable |= scpi::questionable::time;
    if (standing.has(Trip::clock_fault)) questionable |= scpi::questionable::frequency;
    if (core.emergency_stop_latched()) questionable |= scpi::questionable::emergency_stop;
    status.operation.set_condition(static_cast<std::uint16_t>(operation));
    status.questionable.set_condition(static_cast<std::uint16_t>(questionable));
}

void Instrument::notice() {
    const core::State state = site_.state();
    if (state != core::State::armed) waiting_for_trigger_ = false;
    for (auto& [id, client] : clients_) {
        set_conditions(client.status);
        if (client.opc_wanted && !operation_pending()) {
            client.opc_wanted = false;
            client.status.set_event(scpi::esr::operation_complete);
        }
    }
    // A finished wait may run further units, so walk over ids rather than over the map while it happens.
    std::vector<ClientId> waiting;
    for (const auto& [id, client] : clients_) {
        if (client.in_message && client.holds && !operation_pending()) waiting.push_back(id);
    }
    for (const ClientId id : waiting) {
        const auto found = clients_.find(id);
        if (found != clients_.end()) proceed(id, found->second);
    }
}

void Instrument::check(core::Reply reply, ErrorCode code) const {
    if (reply == core::Reply::accepted) return;
    const std::string text = fmt::format("{} ({})", explain(reply), name_of(site_.state()));
    throw Refused({reply == core::Reply::not_now ? code : ErrorCode::settings_conflict, text});
}

void Instrument::need_idle() const {
    const core::State state = site_.state();
    if (state == core::State::armed || state == core::State::warning || core::may_energise(state)) {
        throw Refused({ErrorCode::settings_conflict,
                       fmt::format("{} ({})", explain(core::Refusal::busy), name_of(state))});
    }
}

}  // namespace ampturn::sim::instrument
