#pragma once

#include <algorithm>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>

#include "firmware-sim/drill/drill_run.hpp"
#include "firmware-sim/drill/score.hpp"
#include "firmware-sim/instrument/instrument.hpp"
#include "firmware-sim/record/record_type.hpp"
#include "firmware-sim/record/session_input.hpp"
#include "firmware-sim/record/session_log.hpp"
#include "firmware-sim/session/pace_request.hpp"
#include "firmware-sim/session/step_recorder.hpp"
#include "firmware-sim/site/site.hpp"

namespace ampturn::sim::session {

/// All that decides how a session goes besides its inputs; written into the first record of the log so that
/// the session can be replayed without the files it was made from.
struct SessionSetup {
    std::uint64_t seed = 1;
    std::int64_t start_utc_s = 0;
    bool connected = true;  // without a drill: battery and loops connected at the start
    std::string plan_path, plan_text;
    std::string drill_path, drill_text;  // empty: no drill
    bool guarded = false;                // changing the state needed a token
    std::string trainee;                 // who does it, as given; may be empty

    record::Record to_record() const;
    /// Throws plan::InputError naming `file` when a field is missing or of the wrong kind.
    static SessionSetup from_record(const record::Record& record, const std::string& file);
};

/// Faults set and gone: the trainee finds out by looking.
bool for_trainers_only(const site::EventType& type);

/// A simulated transmitter with its clients, from power-on to the end of the log: site, command language,
/// drill, records. Deterministic: the same setup and the same inputs at the same ticks give the same records
/// and answers. One thread.
class Session {
  public:
    struct Outputs {
        /// Every record in order, with n, tick and utc in it.
        std::function<void(const record::Record&)> record;
        /// To a client of the command language.
        std::function<void(std::uint32_t client, const std::string& text, bool done)> answer;
        /// To one panel (a JSON object), and to all panels.
        std::function<void(std::uint32_t client, const std::string& json)> send_to_panel;
        std::function<void(const std::string& json)> broadcast;
        /// What the trainee finds out by looking: faults set and gone.
        std::function<void(const std::string& json)> broadcast_to_trainers;
        /// A panel asks to pace time: "pause", "resume", "speed 60", "step 1".
        std::function<void(const PaceRequest& wanted, const std::string& words)> pace;
    };
    /// `token`: see Instrument. It is never recorded: where it stands in a message the log has
    /// `recorded_token`, and a replay uses that.
    Session(const SessionSetup& setup, std::string token, Outputs outputs);
    static constexpr const char* recorded_token = "TOKEN";

    /// Does all that is due by itself up to and at `t`.
    void run_until(core::Instant t);
    /// The same, and brings the unit to `t` though nothing is due there, as an input at `t` does before it is written down.
    void arrive_at(core::Instant t) { (void)come_to(t); }
    core::Instant next_due() const;
    /// The moment up to which everything is done; an input cannot be earlier.
    core::Instant now() const { return std::max(site_->now(), reached_); }
    std::uint32_t clock_hz() const { return site_->transmitter().setup.config.clock_hz; }

    /// Takes an input at `t` (not before now()).
    void take(core::Instant t, const record::SessionInput& input);
    /// The log has ended before the session: panels and clients are told.
    void note_log_lost(const std::string& why);
    /// Records how time is paced; no influence on what happens.
    void note_pace(core::Instant t, const std::string& text);
    /// Stops the unit as `stop` does and runs on in virtual time until no current flows, then writes the last record.
    void close(const std::string& why) { close_at(now(), why); }
    void close_at(core::Instant t, const std::string& why);

    /// True while the unit or a drill has something going that needs no person: time may run on at full speed.
    bool busy() const;
    /// The unit as the panel shows it.
    nlohmann::json status_json(record::Role role = record::Role::trainer) const;
    /// What a panel needs once: transmitter, drill, lists of actions and faults, the timeline so far.
    nlohmann::json hello_json(record::Role role) const;
    /// What belongs to the trainer alone (faults, what a good operator does, points) is in it for the trainer, or when the
    /// drill is over.
    nlohmann::json debrief(record::Role role) const;
    const drill::DrillRun* drill() const { return drill_ ? &*drill_ : nullptr; }
    const site::Site& site() const { return *site_; }

  private:
    void write(core::Instant at, record::RecordType type, record::Record fields);
    void write_out(const std::string& who, const std::string& text);
    void on_site_event(const site::SiteEvent& event);
    bool come_to(core::Instant& t);  // false once closed; t is never before now()
    void take_panel(const record::SessionInput& input);
    void tell_panel(const record::SessionInput& input, const std::string& ask);
    void act_for_panel(const record::SessionInput& input, const std::string& name);
    void seat_panel(const record::SessionInput& input, const std::string& what);
    void leave_receiver_seat();
    void panel_reply(const record::SessionInput& input, bool accepted, const std::string& text);
    void after();
    void record_core(const core::Record& record);
    void record_measured(core::Instant at);
    void record_step(const TransmittedStep& sent);
    void close_drill();
    void run_drill(core::Instant reached);
    std::string utc_text(core::Instant t) const;
    core::Instant instant_after(double seconds) const;

    SessionSetup setup_;
    std::string token_;
    Outputs outputs_;
    std::uint64_t record_count_ = 0;
    std::unique_ptr<site::Site> site_;
    std::unique_ptr<instrument::Instrument> instrument_;
    std::optional<drill::DrillRun> drill_;
    std::map<std::uint32_t, std::string> names_;
    std::optional<std::uint32_t> receiver_client_;  // who sits at the receiver
    core::Instant next_sample_;
    core::Instant reached_{
        0u};  // what run_until has come to; the site moves only when something is due there
    bool closed_ = false, drill_told_ = false;
    StepRecorder steps_;
    core::State measured_state_ = core::State::unpowered;
    drill::Timeline recent_;  // for panels that come late
};

}  // namespace ampturn::sim::session
