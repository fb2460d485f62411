#include "firmware-sim/session/session.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "firmware-sim/instrument/sweep_lists.hpp"
#include "firmware-sim/site/utc_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/sweep/table_files.hpp"

namespace ampturn::sim::session {

using run::name_of;

namespace {

constexpr std::size_t recent_max = 500;
constexpr double sample_sending_s = 0.5, sample_idle_s = 10;

std::string replaced(std::string text, const std::string& what, const std::string& with) {
    if (what.empty()) return text;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size())) {
        text.replace(at, what.size(), with);
    }
    return text;
}

}  // namespace

Session::Session(const SessionSetup& setup, std::string token, Outputs outputs)
    : setup_(setup), token_(std::move(token)), outputs_(std::move(outputs)) {
    site::TransmitterSetup transmitter =
        site::transmitter_setup_of(setup_.plan_text, setup_.plan_path, setup_.seed);
    site::SiteStart start;
    start.connected = setup_.connected;
    if (!setup_.drill_text.empty()) {
        drill_.emplace(drill::parse_drill(setup_.drill_text, setup_.drill_path));
        const drill::DrillStart& wanted = drill_->drill().start;
        transmitter.air_c = wanted.air_c;
        transmitter.battery_state_of_charge = wanted.battery_state_of_charge;
        start.connected = wanted.connected;
        start.area_checked = wanted.area_checked;
        start.receiver_ready_after_s = wanted.receiver_ready_after_s;
        start.faults = wanted.faults;
    }
    write(core::Instant{0u}, record::RecordType::session, setup_.to_record());
    site_ = std::make_unique<site::Site>(std::move(transmitter), start, setup_.start_utc_s,
                                         [this](const site::SiteEvent& event) { on_site_event(event); });
    instrument_ = std::make_unique<instrument::Instrument>(
        *site_, token_, [this](std::uint32_t client, const std::string& text, bool done) {
            if (!text.empty()) write_out(names_[client], text);
            outputs_.answer(client, text, done);
        });
    next_sample_ = instant_after(sample_idle_s);
    after();
}

core::Instant Session::instant_after(double seconds) const {
    return core::Instant{static_cast<std::uint64_t>(std::llround(seconds * clock_hz()))};
}

std::string Session::utc_text(core::Instant t) const {
    const std::uint64_t hz = site_ ? clock_hz() : 1;
    const std::uint64_t ticks = t.ticks_since_power_on();
    return site::utc_text_ms(setup_.start_utc_s + static_cast<std::int64_t>(ticks / hz),
                             ticks % hz * 1000 / hz);
}

void Session::write(core::Instant at, record::RecordType type, record::Record fields) {
    record::Record record;
    record["n"] = ++record_count_;
    record["tick"] = at.ticks_since_power_on();
    record["utc"] = utc_text(at);
    record["what"] = name_of(type);
    for (auto& [key, value] : fields.items()) record[key] = std::move(value);
    outputs_.record(record);
}

void Session::write_out(const std::string& who, const std::string& text) {
    std::string_view shown = text;
    if (shown.ends_with('\n')) shown.remove_suffix(1);
    write(now(), record::RecordType::out, {{"who", who}, {"text", record::printable(shown)}});
}

void Session::on_site_event(const site::SiteEvent& event) {
    const core::Instant at = site_ ? site_->now() : core::Instant{0u};
    const std::string name = name_of(event.type);
    write(at, record::RecordType::event, {{"name", name}, {"who", event.who}, {"text", event.text}});
    drill::DrillEvent happened{site_ ? site_->now_s() : 0, event.type, event.who, event.text};
    recent_.push_back(happened);
    if (recent_.size() > recent_max) recent_.erase(recent_.begin());
    const auto& tell = for_trainers_only(event.type) ? outputs_.broadcast_to_trainers : outputs_.broadcast;
    if (tell) {
        tell(nlohmann::json{{"kind", "happening"},
                            {"time_s", happened.time_s},
                            {"utc", utc_text(at)},
                            {"name", name},
                            {"who", happened.who},
                            {"text", happened.text}}
                 .dump());
    }
    if (drill_) drill_->note(std::move(happened));
}

core::Instant Session::next_due() const {
    core::Instant next = std::min(site_->next_due(), next_sample_);
    if (drill_) {
        if (const auto due_s = drill_->next_due_s())
            next = std::min(next, std::max(now(), instant_after(*due_s)));
    }
    return next;
}

void Session::run_until(core::Instant t) {
    while (!closed_) {
        const core::Instant next = next_due();
        if (next > t) return;
        reached_ = next;
        site_->run_until(next);
        after();
        if (next_sample_ <= next) {
            steps_.add_reading(*site_);
            record_measured(next);
            const bool sending = core::may_energise(site_->state());
            next_sample_ =
                next +
                core::Ticks{instant_after(sending ? sample_sending_s : sample_idle_s).ticks_since_power_on()};
        }
        run_drill(next);
    }
}

/// What the scenario does at `reached`, the moment run_until has just come to.
void Session::run_drill(core::Instant reached) {
    if (!drill_) return;
    if (const auto due_s = drill_->next_due_s(); due_s && instant_after(*due_s) <= reached) {
        site_->arrive_at(reached);
        for (const drill::DrillRun::Order& order : drill_->take_due(*due_s)) {
            if (order.set_fault) site_->set_fault(*order.set_fault, true, {});
            if (order.clear_fault) site_->set_fault(*order.clear_fault, false, {});
            if (!order.say.empty()) on_site_event({site::EventType::story(), {}, order.say});
        }
        after();
    }
    close_drill();
}

void Session::close_drill() {
    if (!drill_ || !drill_->over() || drill_told_) return;
    drill_told_ = true;
    const drill::Score result = drill::score(drill_->drill(), drill_->timeline(), drill_->end_s());
    write(now(), record::RecordType::drill,
          {{"ended_by", drill::ended_by_text(*drill_)},
           {"points", result.points},
           {"points_max", result.points_max},
           {"passed", result.passed}});
    // The drill is over: nothing of it is a secret any more.
    if (outputs_.broadcast) outputs_.broadcast(debrief(record::Role::trainer).dump());
}

void Session::after() {
    for (const core::Record& record : site_->take_records()) record_core(record);
    // A step that has just begun is sampled soon, so that short dwells have readings too.
    const bool was_long = next_sample_ > now() + core::Ticks{std::uint64_t{clock_hz()} / 2};
    if (was_long && core::may_energise(site_->state()))
        next_sample_ = now() + core::Ticks{std::uint64_t{clock_hz()} / 2};
    if (const auto sent = steps_.watch(*site_)) record_step(*sent);
    if (site_->state() != measured_state_) {
        measured_state_ = site_->state();
        record_measured(now());
    }
    if (instrument_) instrument_->notice();
}

void Session::record_core(const core::Record& record) {
    record::Record fields;
    const std::string_view event = name_of(record.kind);
    switch (record.kind) {
        case core::RecordKind::state:
            fields = {{"event", event},
                      {"from", name_of(static_cast<core::State>(record.detail / 16))},
                      {"to", name_of(static_cast<core::State>(record.detail % 16))},
                      {"by", name_of(static_cast<core::Event>(record.value))}};
            break;
        case core::RecordKind::trip:
        case core::RecordKind::trip_cleared:
            fields = {{"event", event},
                      {"cause", name_of(static_cast<core::Trip>(record.detail))},
                      {"value", record.value},
                      {"count", record.count}};
            break;
        case core::RecordKind::step:
            fields = {
                {"event", event}, {"step_number", record.detail + 1}, {"sweep_number", record.value + 1}};
            break;
        case core::RecordKind::control:
            fields = {{"event", event},
                      {"control", name_of(static_cast<core::Control>(record.detail))},
                      {"reply", name_of(static_cast<core::Reply>(record.value))}};
            break;
        case core::RecordKind::table:
            fields = {{"event", event},
                      {"refusal", name_of(static_cast<core::Refusal>(record.detail))},
                      {"step_number", record.value + 1}};
            if (record.detail == 0)
                fields["crc32"] = sweep::image_crc32(site_->unit().core().table(), clock_hz());
            break;
        case core::RecordKind::mark:
            if (record.value == 0) return;  // a mark where the clock expected it says nothing new
            fields = {{"event", event}, {"error_ticks", record.value}};
            break;
    }
    fields["at"] = record.at.ticks_since_power_on();
    write(now(), record::RecordType::core, std::move(fields));
}

void Session::record_measured(core::Instant at) {
    const core::Reading& reading = site_->unit().core().last_reading();
    write(at, record::RecordType::measured,
          {{"state", name_of(site_->state())},
           {"current_a_ma", reading.loop_current_ma[0]},
           {"current_b_ma", reading.loop_current_ma[1]},
           {"battery_mv", reading.battery_mv},
           {"bus_mv", reading.bus_mv},
           {"winding_mdeg_c", reading.winding_mdeg_c},
           {"electronics_mdeg_c", reading.electronics_mdeg_c}});
}

void Session::record_step(const TransmittedStep& sent) {
    record::Record fields = {{"step_number", sent.step_number},
                             {"sweep_number", sent.sweep_number},
                             {"loop", name_of(sent.step.loop)},
                             {"tap", sent.step.tap},
                             {"capacitor", sent.step.capacitor},
                             {"divisor", sent.step.divisor},
                             {"start_tick", sent.start_tick},
                             {"end_tick", sent.end_tick},
                             {"start_utc", utc_text(core::Instant{sent.start_tick})},
                             {"complete", sent.complete},
                             {"readings", sent.readings},
                             {"current_ma_peak", std::llround(sent.current_ma_peak)},
                             {"target_ma_peak", sent.step.current_ma_peak},
                             {"bus_mv", std::llround(sent.bus_mv)},
                             {"battery_mv", std::llround(sent.battery_mv)},
                             {"clock_locked", site_->clock_locked()}};
    if (sent.phase_at_second_mdeg) fields["drive_phase_at_second_mdeg"] = *sent.phase_at_second_mdeg;
    write(now(), record::RecordType::line, std::move(fields));
}

bool Session::come_to(core::Instant& t) {
    if (closed_) return false;
    t = std::max(t, now());
    run_until(t);
    site_->arrive_at(t);
    after();
    return true;
}

void Session::take(core::Instant t, const record::SessionInput& input) {
    if (!come_to(t)) return;
    write(now(), record::RecordType::in,
          {{"who", input.who},
           {"client", input.client},
           {"kind", name_of(input.kind)},
           {"role", record::name_of(input.role)},
           {"text", record::printable(replaced(input.text, token_, recorded_token))}});
    switch (input.kind) {
        case record::SessionInput::Kind::open:
            names_[input.client] = input.who;
            instrument_->open(input.client, input.role != record::Role::watcher, input.who);
            break;
        case record::SessionInput::Kind::message:
            instrument_->message(input.client, input.text);
            break;
        case record::SessionInput::Kind::overrun:
            instrument_->overrun(input.client, input.text);
            break;
        case record::SessionInput::Kind::close:
            instrument_->close(input.client);
            names_.erase(input.client);
            if (receiver_client_ == input.client) leave_receiver_seat();
            break;
        case record::SessionInput::Kind::panel:
            take_panel(input);
            break;
    }
    after();
    close_drill();
}

void Session::note_log_lost(const std::string& why) {
    on_site_event({site::EventType::remark(), "unit", why + ": what happens from here on is not kept"});
    instrument_->report_to_all({scpi::ErrorCode::mass_storage, why});
}

void Session::note_pace(core::Instant t, const std::string& text) {
    run_until(t);
    write(std::max(t, now()), record::RecordType::pace, {{"text", text}});
}

bool Session::busy() const {
    switch (site_->state()) {
        case core::State::self_check:
        case core::State::warning:
        case core::State::sending:
        case core::State::stopping:
        case core::State::resting:
            return true;
        case core::State::unpowered:
            return site_->supplied() || site_->hands_busy();
        case core::State::standby:
        case core::State::armed:
        case core::State::tripped:
            return site_->hands_busy();
    }
    return false;
}

void Session::close_at(core::Instant t, const std::string& why) {
    if (!come_to(t)) return;
    write(now(), record::RecordType::in,
          {{"who", "host"},
           {"client", 0},
           {"kind", "shutdown"},
           {"role", record::name_of(record::Role::trainer)},
           {"text", why}});
    const core::State state = site_->state();
    if (state == core::State::armed || state == core::State::warning || state == core::State::sending) {
        (void)site_->control(core::Control::stop, "host");
        after();
    }
    // Category 1: ramp down first. Bounded, because a ramp has at most a million cycles.
    while (core::may_energise(site_->state()) || !site_->unit().core().current_is_zero()) {
        if (site_->state() == core::State::unpowered) break;
        run_until(next_due());
    }
    if (drill_ && !drill_->over()) {
        drill_->finish(site_->now_s(), drill::DrillEnd::session_closed);
        close_drill();
    }
    write(now(), record::RecordType::end, {{"why", why}, {"state", name_of(site_->state())}});
    closed_ = true;
}

}  // namespace ampturn::sim::session
