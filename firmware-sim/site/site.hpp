#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "firmware-sim/site/action.hpp"
#include "firmware-sim/site/event_type.hpp"
#include "firmware-sim/site/fault.hpp"
#include "firmware-sim/site/transmitter_setup.hpp"

namespace ampturn::sim::site {

/// What happened at the site, for the drill's timeline and the log.
struct SiteEvent {
    EventType type;
    std::string who;
    std::string text;
};

struct ActionReply {
    bool accepted = false;
    std::string text;  // one line for the one who did it
};

struct SiteStart {
    bool connected = true;  // battery and loops, in the right order
    bool area_checked = false;
    double receiver_ready_after_s = 0;
    std::vector<Fault> faults;
};

/// The unit and what is around it: battery leads, plugs, people, weather, the time receiver. Everything
/// happens in the unit's virtual time; same transmitter, same calls at the same instants, same results.
class Site {
  public:
    using Sink = std::function<void(const SiteEvent&)>;
    Site(TransmitterSetup transmitter, const SiteStart& start, std::int64_t start_utc_s, Sink sink);

    /// Lets everything up to and at `t` happen that is due by itself. Never moves the plant to a moment at
    /// which nothing is due, so the results do not depend on how often this is called.
    void run_until(core::Instant t);
    core::Instant next_due() const;
    /// Brings the plant to `t` exactly, for an input that arrives then.
    void arrive_at(core::Instant t);
    core::Instant now() const { return unit_.now(); }
    double now_s() const { return unit_.now_s(); }
    /// Seconds since 1970 by the simulated world's own time.
    double utc_s() const { return static_cast<double>(start_utc_s_) + now_s(); }

    ActionReply act(Action action, const std::string& who);
    void set_fault(Fault fault, bool on, const std::string& who);
    /// Somebody sits at the receiver from here on: the crew records when they start it, and answers what they have to show.
    /// Without anybody the crew is a simulated one that records from when it is ready.
    void take_receiver_seat(const std::string& who);
    void leave_receiver_seat();
    /// One seat to the other.
    ActionReply say_by_radio(Seat from, const std::string& text, const std::string& who);
    bool has(Fault fault) const { return faults_[static_cast<std::size_t>(fault)]; }

    /// The same as the controls of the front, for the command language.
    core::Reply control(core::Control control, const std::string& who);
    core::TableCheck load(const core::Table& table);
    core::TableCheck load_image(std::span<const std::uint8_t> image);
    core::Reading measure();
    /// The records of the core since the last call, oldest first.
    std::vector<core::Record> take_records();

    run::Unit& unit() { return unit_; }
    const run::Unit& unit() const { return unit_; }
    const TransmitterSetup& transmitter() const { return transmitter_; }
    core::State state() const { return unit_.core().state(); }
    bool battery_positive() const { return positive_; }
    bool battery_negative() const { return negative_; }
    bool supplied() const { return positive_ && negative_ && !has(Fault::battery_lead_off); }
    bool loop_connected(std::size_t index) const { return plugged_[index]; }
    bool area_checked() const { return area_checked_; }
    bool in_shelter() const { return in_shelter_; }
    bool clock_locked() const { return supplied() && !has(Fault::clock_drift); }
    int batteries_used() const { return batteries_used_; }
    /// Who sits at the receiver; empty: nobody.
    const std::string& receiver_seat() const { return crew_; }
    bool recording() const { return recording_; }
    /// What a pair of hands is doing, and how long still.
    std::optional<Action> action_in_progress(Seat seat = Seat::transmitter) const;
    double action_left_s(Seat seat = Seat::transmitter) const;
    bool hands_busy() const;
    /// The table in the unit is the one of the sheet.
    bool table_is_right() const;

  private:
    struct Work {
        Action action;
        std::string who;
        core::Instant ends;
    };
    void happen(const EventType& type, const std::string& who = {}, std::string text = {});
    std::optional<Work>& work_of(Seat seat) { return work_[static_cast<std::size_t>(seat)]; }
    const std::optional<Work>& work_of(Seat seat) const { return work_[static_cast<std::size_t>(seat)]; }
    core::Instant next_work_ends() const;
    void finish_action(Seat seat);
    std::string why_impossible(Action action) const;
    std::string why_impossible_for_crew(Action action) const;
    void notice_dangers(Action action, const std::string& who);
    void operate(const Work& work);
    void load_stale_table();
    // What a look shows (site_looks.cpp).
    struct Look {
        Finding finding;
        std::string text;
    };
    std::optional<Look> look(Action action);
    Look look_at_battery() const;
    Look look_at_loop(std::size_t index) const;
    Look look_at_plugs() const;
    Look look_at_area();
    Look look_at_table() const;
    Look call_receiver();
    Look look_at_records();
    bool receiver_can_record() const;
    void apply_faults();
    void notice_state();
    bool danger_lasts() const;
    void watch_danger();
    void tell_danger();
    bool loose_open(std::size_t index) const;
    core::Instant in_seconds(double seconds) const;

    TransmitterSetup transmitter_;
    run::Unit unit_;
    std::int64_t start_utc_s_;
    Sink sink_;
    double receiver_ready_after_s_;
    std::array<bool, fault_count> faults_{};
    bool positive_ = false, negative_ = false;
    std::array<bool, 2> plugged_{};
    bool area_checked_ = false, in_shelter_ = false;
    int batteries_used_ = 1;
    std::array<std::optional<Work>, seat_count> work_;
    std::string crew_;
    bool recording_ = true;
    core::Instant next_mark_ = core::Instant::never();
    std::uint64_t next_mark_s_ = 0;  // second of UTC, counted from start_utc_s_
    core::Instant next_flutter_ = core::Instant::never();
    bool flutter_open_ = false;
    core::Instant next_danger_ = core::Instant::never();  // told again, while it lasts
    double drift_ticks_ = 0;  // what the drifting reference has gained on the true second
    core::State seen_state_ = core::State::unpowered;
};

}  // namespace ampturn::sim::site
