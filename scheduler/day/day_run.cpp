#include "scheduler/day/day_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iterator>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "model/base/constants.hpp"
#include "model/transmitter/transmitter.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/core/config.hpp"
#include "scheduler/day/receiver_crews.hpp"
#include "scheduler/day/time_left.hpp"
#include "scheduler/day/travel.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/plan/receiver_crew.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/run/unit.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"

namespace ampturn::day {
namespace {

constexpr double own_protection_fraction = 0.9;
constexpr int nowhere = -1;
constexpr double never_measured_v = std::numeric_limits<double>::quiet_NaN();
// Just inside the core's 2 s for a reading that stays out: all a planned day needs.
constexpr std::uint32_t energised_period_ms = 1'900;

class DayRunner {
  public:
    DayRunner(const plan::Plan& plan, const setup::SweepSetup& setup, const DayRunOptions& options)
        : plan_(plan),
          unit_config_(setup.unit),
          table_(setup.table),
          options_(options),
          travel_(plan),
          receivers_(plan, travel_, options.trace ? &out_.timeline : nullptr),
          transmitter_(protected_transmitter(setup.transmitter, 0)) {
        const plan::Day& day = plan.day;
        tx_s_ = day.start_s;
        battery_c_ = plan.battery.temperature_c.value_or(day.air_temperature_c(day.start_s));
        plant_ = model::transmitter::plant_at_rest(transmitter_, day.air_temperature_c(day.start_s),
                                                   plan.battery.state_of_charge_of(0));
        plant_since_s_ = day.start_s;
    }

    DayRun run() {
        const plan::Day& day = plan_.day;
        add(Briefing{}, day.start_s, day.start_s + 60 * day.briefing_min, nowhere, nowhere);
        tx_s_ = day.start_s + 60 * day.briefing_min;
        receivers_.leave(tx_s_);
        for (const plan::SiteVisit& visit : plan::site_visits(plan_)) work_at_site(visit);
        go_transmitter("base", nowhere);
        out_.receivers_back_s = receivers_.go_home();
        out_.end_s = tx_s_;
        double person_s = day.crew_transmitter * (tx_s_ - day.start_s);
        const std::vector<plan::CrewValues> crews = plan::receiver_crews_of(plan_);
        for (std::size_t c = 0; c < crews.size(); ++c) {
            const double back_s = out_.receivers_back_s[c];
            if (std::isnan(back_s)) continue;  // stayed at the base
            out_.end_s = std::max(out_.end_s, back_s);
            person_s += crews[c].people * (back_s - day.start_s);
        }
        out_.person_hours = person_s / 3600;
        out_.completed = every_sweep_sent();
        std::stable_sort(out_.timeline.begin(), out_.timeline.end(),
                         [](const auto& a, const auto& b) { return a.start_s < b.start_s; });
        return std::move(out_);
    }

  private:
    /// Each planned sweep of each station was sent whole while it stood, at the first attempt or a later one.
    bool every_sweep_sent() const {
        std::vector<int> heard(plan_.stations.size(), 0);
        for (const SweepOutcome& sweep : out_.sweeps)
            for (const int station : sweep.listeners)
                heard[static_cast<std::size_t>(station)] += sweep.complete();
        for (std::size_t i = 0; i < heard.size(); ++i)
            if (heard[i] < plan_.stations[i].sweeps) return false;
        return true;
    }

    enum class End { complete, swapped_battery, no_battery, no_time, other_trip };

    model::transmitter::Transmitter protected_transmitter(model::transmitter::Transmitter transmitter,
                                                          int set_index) const {
        transmitter = setup::with_battery_set(std::move(transmitter), plan_,
                                              std::min(set_index, plan_.battery.sets_carried - 1));
        model::transmitter::BatteryBlock& block = transmitter.design.battery.block;
        if (block.disconnects_at_cutoff) block.cutoff_v_per_cell *= own_protection_fraction;
        return transmitter;
    }

    void add(Activity activity, double start_s, double end_s, int site, int station) {
        if (options_.trace) out_.timeline.push_back({start_s, end_s, std::move(activity), site, station});
    }

    void go_transmitter(const std::string& to, int site) {
        const double span_s = travel_.seconds(tx_place_, to);
        if (span_s > 0) add(Journey{Crew::transmitter, tx_place_, to}, tx_s_, tx_s_ + span_s, site, nowhere);
        tx_s_ += span_s;
        tx_place_ = to;
    }

    // the unit's time and the day's
    double day_s(double unit_s) const { return unit_zero_s_ + unit_s; }
    double now_s() const { return day_s(unit_->now_s()); }
    void wait_until(double t) {
        if (t > now_s()) unit_->run_until(unit_->instant_at(t - unit_zero_s_));
    }
    double utc_s(double t) const { return t - 3600 * plan_.survey.utc_offset_h; }

    double followed(double battery_c, double from_s, double to_s) const {
        const double air_c = plan_.day.air_temperature_c(to_s);
        return air_c + (battery_c - air_c) * std::exp(-(to_s - from_s) / battery_time_constant_s);
    }
    void follow_air(double from_s, double to_s) {
        if (plan_.battery.temperature_c) return;  // kept there all day
        battery_c_ = followed(battery_c_, from_s, to_s);
    }

    void work_at_site(const plan::SiteVisit& visit) {
        const int site = visit.site_index;
        const bool over = battery_gone_ || no_station_fits(visit);
        if (!over) {
            go_transmitter(plan_.sites[static_cast<std::size_t>(site)].name, site);
            add(SetUp{Crew::transmitter}, tx_s_, tx_s_ + 60 * plan_.day.transmitter_set_up_min, site,
                nowhere);
            tx_s_ += 60 * plan_.day.transmitter_set_up_min;
            if (plan_.day.swap_rule == plan::SwapRule::at_site) swap_if_low_unpowered();
            power_up();
        }
        for (const plan::ListeningGroup& group : visit.groups) work_with_group(group);
        if (!over) {
            if (unit_) power_down();
            add(PackUp{Crew::transmitter}, tx_s_, tx_s_ + 60 * plan_.day.transmitter_pack_up_min, site,
                nowhere);
            tx_s_ += 60 * plan_.day.transmitter_pack_up_min;
        }
    }

    bool no_station_fits(const plan::SiteVisit& visit) const {
        const Crews now = crews_now();
        for (const plan::ListeningGroup& group : visit.groups)
            for (const std::size_t station : group.stations)
                if (first_sweep_fits(plan_, travel_, table_.duration_s, {station}, now)) return false;
        return true;
    }

    Crews crews_now() const {
        return {.transmitter = {unit_ ? std::max(tx_s_, now_s()) : tx_s_, tx_place_},
                .receivers = receivers_.crews()};
    }

    int sweeps_asked(const std::vector<std::size_t>& stations) const {
        int most = 0;
        for (const std::size_t s : stations) most = std::max(most, plan_.stations[s].sweeps);
        return most;
    }

    void work_with_group(const plan::ListeningGroup& group) {
        std::vector<std::size_t> standing;
        if (!battery_gone_)
            standing = stations_in_time(plan_, travel_, table_.duration_s, group.stations, crews_now());
        std::vector<std::size_t> left_off;
        std::set_difference(group.stations.begin(), group.stations.end(), standing.begin(), standing.end(),
                            std::back_inserter(left_off));
        const SweepStop why =
            battery_gone_ ? SweepStop(NoBatteryLeft{}) : SweepStop(NoTimeLeft{plan_.day.end_s});
        listening_ = left_off;
        for (int k = 1; k <= sweeps_asked(left_off); ++k) not_sent(k, why);
        if (standing.empty()) return;
        listening_ = standing;
        receivers_.set_up(standing);
        send_to_those_listening();
        receivers_.pack_up(standing);
    }

    void send_to_those_listening() {
        const int sweeps = sweeps_asked(listening_);
        for (int k = 1; k <= sweeps; ++k) {
            End end = End::swapped_battery;
            const std::size_t recorded = out_.sweeps.size();
            for (int attempt = 0; attempt < 4 && (end == End::swapped_battery || end == End::other_trip);
                 ++attempt)
                end = sweep(k);
            // Each set was flat before the sweep could begin: it is lost to them, and must be told.
            if (end == End::swapped_battery && out_.sweeps.size() == recorded) not_sent(k, BatterySpent{});
            receivers_.wait_until(listening_, now_s());
            if (end == End::complete) receivers_.look_at_data(listening_);
            if (end == End::no_battery) {
                for (int rest = k + 1; rest <= sweeps; ++rest) not_sent(rest, NoBatteryLeft{});
                break;
            }
        }
    }

    /// A sweep to the stations that listen now, nothing of it sent yet.
    SweepOutcome outcome(int number, double start_s) const {
        return {.listeners = std::vector<int>(listening_.begin(), listening_.end()),
                .site_index = plan_.stations[listening_.front()].site_index,
                .sweep_number = number,
                .start_s = start_s,
                .end_s = start_s};
    }

    void not_sent(int number, SweepStop why) {
        SweepOutcome lost = outcome(number, std::max(tx_s_, unit_ ? now_s() : tx_s_));
        lost.stopped_by = why;
        out_.sweeps.push_back(std::move(lost));
    }

    /// The station that listens, where it is only one.
    int only_station() const {
        return listening_.size() == 1 ? static_cast<int>(listening_.front()) : nowhere;
    }

    void record(SweepOutcome sweep) {
        add(SweepAttempt{sweep.sweep_number, sweep.stopped_by, sweep.listeners}, sweep.start_s, sweep.end_s,
            sweep.site_index, only_station());
        out_.sweeps.push_back(std::move(sweep));
    }

    // power

    void power_up() {
        unit_zero_s_ = std::ceil(tx_s_);
        follow_air(plant_since_s_, unit_zero_s_);
        rest_plant(unit_zero_s_ - plant_since_s_);
        if (out_.batteries.empty()) connect(unit_zero_s_);
        make_unit();
        become_ready();
    }

    void make_unit() {
        run::UnitSetup setup{.config = unit_config_,
                             .transmitter = transmitter_,
                             .seed = options_.seed,
                             .true_clock_error_ppm = plan_.driver.clock_error_ppm};
        setup.measuring.idle_period_ms = options_.pattern != nullptr ? 60'000 : 30'000;
        setup.measuring.energised_period_ms = energised_period_ms;
        unit_ = std::make_unique<run::Unit>(std::move(setup), plant_);
        unit_->set_ambient([this](double unit_s) { return plan_.day.air_temperature_c(day_s(unit_s)); });
        unit_->set_battery_temperature([this](double) { return battery_c_; });
        unit_->on_interval([this](const run::Interval& interval) { watch(interval); });
        if (options_.pattern != nullptr && !replay_) replay_.emplace(*options_.pattern, unit_config_);
    }

    /// Self-check, table, time: to standby, or to what keeps it from there.
    void become_ready() {
        unit_->measure_now();
        for (int i = 0;
             i < 100 && unit_->core().state() != core::State::standby && unit_->core().latched().empty(); ++i)
            unit_->run_until(unit_->now() +
                             core::ticks_of_ms(static_cast<std::uint32_t>(plan_.driver.clock_hz), 200));
        (void)unit_->load(table_.image);
        wait_until(std::ceil(now_s()));
        unit_->mark(static_cast<std::uint64_t>(std::llround(utc_s(now_s()) + epoch_s())));
    }

    double epoch_s() const {
        const auto& date = plan_.survey.date;
        // Without a date any whole day serves: only the seconds and minutes of UTC matter to the unit.
        return date.ok()
                   ? std::chrono::duration<double>(std::chrono::sys_days(date).time_since_epoch()).count()
                   : 86400.0;
    }

    void power_down() {
        tx_s_ = std::max(tx_s_, now_s());
        plant_ = unit_->plant();
        plant_since_s_ = now_s();
        unit_.reset();
    }

    void rest_plant(double span_s) {
        if (!(span_s > 0)) return;
        model::transmitter::Drive off;
        off.ambient_c = plan_.day.air_temperature_c(plant_since_s_ + span_s);
        off.battery_ambient_c = battery_c_;
        plant_.faults.battery_disconnected = true;
        double left_s = span_s;
        for (int guard = 0; guard < 64 && left_s > 0; ++guard) {
            const double moved_s = model::transmitter::advance(transmitter_, plant_, off, left_s).advanced_s;
            left_s -= moved_s;
        }
        plant_.faults.battery_disconnected = false;
    }

    // batteries

    void connect(double t) {
        out_.batteries.push_back({.battery_number = static_cast<int>(out_.batteries.size()) + 1,
                                  .connected_s = t,
                                  .disconnected_s = t,
                                  .lowest_v = never_measured_v,
                                  .lowest_v_time_s = never_measured_v,
                                  .left_fraction = charge_of_set(out_.batteries.size())});
    }

    /// At the start of the day; sets beyond those of the plan are like its last.
    double charge_of_set(std::size_t index) const {
        return plan_.battery.state_of_charge_of(
            std::min(static_cast<int>(index), plan_.battery.sets_carried - 1));
    }

    bool set_left() const { return static_cast<int>(out_.batteries.size()) < options_.sets_available; }

    void next_set(model::transmitter::PlantState& plant, double t) {
        const int index = static_cast<int>(out_.batteries.size());
        transmitter_ = protected_transmitter(transmitter_, index);
        battery_c_ = plan_.battery.temperature_c.value_or(plan_.day.air_temperature_c(t));
        model::transmitter::exchange_battery(transmitter_, plant, battery_c_,
                                             charge_of_set(out_.batteries.size()));
        connect(t);
    }

    void swap_if_low_unpowered() {
        if (out_.batteries.empty() || !set_left() ||
            out_.batteries.back().left_fraction >= plan_.day.swap_below_fraction)
            return;
        const double end_s = tx_s_ + 60 * plan_.day.battery_swap_min;
        add(swap(BatterySwap::Cause::low_at_site), tx_s_, end_s, nowhere, nowhere);
        tx_s_ = end_s;
        next_set(plant_, end_s);
    }

    BatterySwap swap(BatterySwap::Cause cause) const {
        return {static_cast<int>(out_.batteries.size()) + 1, cause, plan_.day.swap_below_fraction};
    }

    void swap_powered(BatterySwap::Cause cause) {
        const double start_s = now_s();
        unit_->plant().faults.battery_disconnected = true;
        unit_->measure_now();
        wait_until(start_s + 60 * plan_.day.battery_swap_min);
        add(swap(cause), start_s, now_s(), nowhere, nowhere);
        next_set(unit_->plant(), now_s());
        unit_->set_battery_bank(transmitter_.design.battery);
        unit_->plant().faults.battery_disconnected = false;
        become_ready();
    }

    // sweeps

    double on_mark(double t) const { return day::on_mark(plan_, t); }

    End sweep(int number) {
        if (plan_.day.swap_rule == plan::SwapRule::between_sweeps && set_left() &&
            out_.batteries.back().left_fraction < plan_.day.swap_below_fraction)
            swap_powered(BatterySwap::Cause::low);

        const double ready_s = std::max(now_s(), receivers_.ready_s(listening_)) + 60 * plan_.day.agree_min;
        const double lead_s = lead_before_sweep_s(plan_);
        double start_s = on_mark(ready_s + lead_s);
        if (start_s + table_.duration_s + way_back_s(plan_, travel_, listening_, tx_place_) >
            plan_.day.end_s) {
            not_sent(number, NoTimeLeft{plan_.day.end_s});
            return End::no_time;
        }
        wait_until(start_s - lead_s);
        if (replayed(number, start_s)) return End::complete;
        // Too hot to arm: wait in standby, at most three hours, and take a later mark.
        for (int minutes = 0; !arm(); ++minutes) {
            if (minutes == 0) rest_from_s_ = now_s();
            if (minutes > 180 || !unit_->core().latched().empty() ||
                unit_->core().state() == core::State::unpowered)
                return refuse_start(number);
            wait_until(now_s() + 60);
            start_s = on_mark(now_s() + lead_s);
        }
        if (rest_from_s_ > 0) {
            add(Cooling{}, rest_from_s_, now_s(), plan_.stations[listening_.front()].site_index,
                only_station());
            rest_from_s_ = 0;
            (void)unit_->control(core::Control::disarm);
            wait_until(start_s - lead_s);
            (void)arm();
        }
        wait_until(start_s - plan_.unit.warning_s - go_before_mark_s);
        (void)unit_->control(core::Control::go);

        SweepOutcome sent = outcome(number, now_s());
        current_ = &sent;
        core::State state = unit_->core().state();
        while (state == core::State::warning || core::may_energise(state)) {
            unit_->run_until(std::max(unit_->next_due(), unit_->now()));
            if (state == core::State::warning && unit_->core().state() == core::State::sending)
                sent.start_s = now_s();
            state = unit_->core().state();
        }
        current_ = nullptr;
        sent.end_s = now_s();
        if (state != core::State::standby && state != core::State::resting)
            sent.stopped_by = state == core::State::unpowered ? SweepStop(BatterySpent{})
                                                              : Tripped{unit_->core().first_trip()};
        const bool complete = sent.complete();
        record(std::move(sent));
        if (options_.keep_pattern != nullptr && !pattern_kept_) {
            pattern_kept_ = complete;
            if (!complete) *options_.keep_pattern = {};
        }
        return complete ? End::complete : recover();
    }

    /// The sweep by its pattern, where there is one and no limit is near; the unit then stands at its end.
    bool replayed(int number, double start_s) {
        if (!replay_ || unit_->core().state() != core::State::standby || !unit_->core().latched().empty() ||
            !unit_->core().pending().empty())
            return false;
        const double begun_s = now_s(), battery_c = battery_c_;
        const auto sweep = replay_->replay(
            *unit_,
            {.now_s = unit_->now_s(),
             .first_step_s = start_s - unit_zero_s_,
             .ambient_c = [this](double unit_s) { return plan_.day.air_temperature_c(day_s(unit_s)); },
             .battery_c =
                 [&](double unit_s) {
                     return plan_.battery.temperature_c ? battery_c
                                                        : followed(battery_c, begun_s, day_s(unit_s));
                 }});
        if (!sweep) return false;
        SweepOutcome sent = outcome(number, start_s);
        sent.end_s = day_s(sweep->end_s);
        current_ = &sent;
        for (const run::Interval& interval : sweep->intervals) watch(interval);
        current_ = nullptr;
        unit_->pass_to(unit_->instant_at(sweep->end_s), sweep->end);
        record(std::move(sent));
        return true;
    }

    bool arm() { return unit_->control(core::Control::arm) == core::Reply::accepted; }

    End refuse_start(int number) {
        const End end = recover();
        // A spent battery drops the unit's supply between sweeps too: the refusal is then not the unit's.
        if (end == End::no_battery)
            not_sent(number, NoBatteryLeft{});
        else if (end != End::swapped_battery)
            not_sent(number, WouldNotArm{});
        return end;
    }

    /// After a trip or a lost supply: what the crew can do.
    End recover() {
        const core::Sequencer& unit = unit_->core();
        const bool battery =
            unit.state() == core::State::unpowered || unit.latched().has(core::Trip::under_voltage);
        if (battery) {
            BatteryUse& use = out_.batteries.back();
            use.reached_cut_off = true;
            use.cut_off_s = now_s();
            if (plan_.day.swap_rule != plan::SwapRule::never && set_left()) {
                swap_powered(BatterySwap::Cause::spent);
                return End::swapped_battery;
            }
            add(TransmitterStops{}, now_s(), now_s(), nowhere, nowhere);
            battery_gone_ = true;
            return End::no_battery;
        }
        // Let the cause go, acknowledge, and let the self-check run; then the sweep is tried again.
        for (int minutes = 0; minutes < 180 && unit.state() == core::State::tripped; ++minutes) {
            wait_until(now_s() + 60);
            (void)unit_->control(core::Control::acknowledge);
        }
        wait_until(now_s() + 15);
        return End::other_trip;
    }

    // what is seen

    void watch(const run::Interval& interval) {
        follow_air(day_s(interval.start_s), day_s(interval.end_s));
        const model::transmitter::PlantReadings& end = interval.plant.end;
        const double t = day_s(interval.end_s);
        if (out_.batteries.empty()) return;
        BatteryUse& use = out_.batteries.back();
        if (end.supplied) {
            use.disconnected_s = t;
            use.delivered_ah += interval.plant.charge_out_ah;
            use.delivered_wh += interval.plant.energy.battery_out_j / 3600;
            use.left_fraction = end.soc_total;
            if (!(end.battery_v >= use.lowest_v)) {
                use.lowest_v = end.battery_v;
                use.lowest_v_time_s = t;
            }
            if (options_.on_battery)
                options_.on_battery({.from_s = day_s(interval.start_s),
                                     .to_s = t,
                                     .terminal_start_v = interval.plant.start.supplied
                                                             ? interval.plant.start.battery_v
                                                             : end.battery_v,
                                     .terminal_end_v = end.battery_v,
                                     .charge_start_fraction = interval.plant.start.soc_total,
                                     .charge_end_fraction = end.soc_total});
        }
        if (options_.trace && end.supplied &&
            (t - last_sample_s_ >= 30 || interval.progress.phase == core::Phase::dwell)) {
            if (!out_.battery_trace.empty() && t - last_sample_s_ < 5 &&
                out_.battery_trace.back().battery_number == use.battery_number)
                out_.battery_trace.pop_back();  // a denser sample of the same dwell replaces the last
            else
                last_sample_s_ = t;
            out_.battery_trace.push_back({.time_s = t,
                                          .battery_number = use.battery_number,
                                          .terminal_v = end.battery_v,
                                          .current_a = end.battery_a,
                                          .charge_available_fraction = end.soc_available,
                                          .charge_total_fraction = end.soc_total,
                                          .temperature_c = battery_c_});
        }
        if (current_ == nullptr || !core::may_energise(interval.state)) return;
        add_interval(*current_, interval, unit_zero_s_, table_.rows);
        if (options_.keep_pattern != nullptr && !pattern_kept_) options_.keep_pattern->add(interval);
    }

    const plan::Plan& plan_;
    const core::Config& unit_config_;
    const setup::PlannedTable& table_;
    DayRunOptions options_;
    Travel travel_;
    DayRun out_;
    ReceiverCrews receivers_;
    model::transmitter::Transmitter transmitter_;
    double tx_s_;
    std::string tx_place_ = "base";
    std::vector<std::size_t> listening_;  // stations that stand, in plan order; or that a reason is told for
    model::transmitter::PlantState plant_;  // between sites
    double plant_since_s_;
    double battery_c_;
    std::unique_ptr<run::Unit> unit_;
    double unit_zero_s_ = 0;
    SweepOutcome* current_ = nullptr;
    double last_sample_s_ = -1e9;
    double rest_from_s_ = 0;
    bool battery_gone_ = false;
    bool pattern_kept_ = false;
    std::optional<run::SweepReplay> replay_;
};

}  // namespace

DayRun run_day(const plan::Plan& plan, const setup::SweepSetup& setup, const DayRunOptions& options) {
    return DayRunner(plan, setup, options).run();
}

}  // namespace ampturn::day
