#include <fmt/format.h>

#include <algorithm>

#include "firmware-sim/drill/recovery.hpp"
#include "firmware-sim/session/session.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::session {

using run::explain;
using run::name_of;

namespace {

using nlohmann::json;

json event_json(const drill::DrillEvent& event) {
    return {
        {"time_s", event.time_s}, {"name", name_of(event.type)}, {"who", event.who}, {"text", event.text}};
}

json timeline_json(const drill::Timeline& timeline, bool with_faults) {
    json list = json::array();
    for (const drill::DrillEvent& event : timeline)
        if (with_faults || !for_trainers_only(event.type)) list.push_back(event_json(event));
    return list;
}

json sounder_json(core::Sounder sounder) {
    const core::SounderTiming timing = core::timing(sounder);
    return {{"word", name_of(sounder)}, {"beeps", timing.beeps},       {"on_ms", timing.on_ms},
            {"off_ms", timing.off_ms},  {"pause_ms", timing.pause_ms}, {"repeats", timing.repeats}};
}

json lamp_json(const core::Indicator& indicator) {
    const core::PatternTiming timing = core::timing(indicator.pattern);
    return {{"colour", name_of(indicator.lamp)}, {"pattern", name_of(indicator.pattern)},
            {"blinks", timing.blinks},           {"on_ms", timing.on_ms},
            {"off_ms", timing.off_ms},           {"pause_ms", timing.pause_ms}};
}

json progress_json(const site::Site& site) {
    const core::Sequencer& core = site.unit().core();
    const core::Progress progress = core.progress();
    json view{{"phase", name_of(progress.phase)}, {"step_count", core.table().step_count}};
    if (progress.phase == core::Phase::none) return view;
    const core::Step& step = core.table().steps[progress.step_index];
    const double length = static_cast<double>(core::step_length(step).count());
    const double passed = progress.step_start <= site.now()
                              ? static_cast<double>((site.now() - progress.step_start).count())
                              : 0;
    view["step_number"] = progress.step_index + 1;
    view["sweep_number"] = progress.sweep_index + 1;
    view["sweep_count"] = progress.sweep_count;
    view["step_fraction"] = std::clamp(passed / length, 0.0, 1.0);
    view["frequency_hz"] = static_cast<double>(site.transmitter().setup.config.clock_hz) / step.divisor;
    view["loop"] = name_of(step.loop);
    view["target_a_peak"] = 1e-3 * step.current_ma_peak;
    return view;
}

/// The unit's text line: the word of the state, and what belongs to it.
std::string text_line(const site::Site& site) {
    const core::Sequencer& core = site.unit().core();
    const core::Indicator indicator = core.indicator();
    std::string word(name_of(indicator.word));
    if (indicator.has_cause) return fmt::format("{}: {}", word, name_of(indicator.cause));
    if (core.state() == core::State::sending && core.progress().phase != core::Phase::none) {
        const core::Progress progress = core.progress();
        const core::Step& step = core.table().steps[progress.step_index];
        return fmt::format("{} {}/{} loop {} {:.1f} Hz", word, progress.step_index + 1, progress.step_count,
                           name_of(step.loop),
                           static_cast<double>(site.transmitter().setup.config.clock_hz) / step.divisor);
    }
    return word;
}

}  // namespace

bool for_trainers_only(const site::EventType& type) {
    return type.kind == site::EventType::Kind::fault_set || type.kind == site::EventType::Kind::fault_cleared;
}

nlohmann::json Session::status_json(record::Role role) const {
    const site::Site& site = *site_;
    const core::Sequencer& core = site.unit().core();
    const core::Reading& reading = core.last_reading();
    const core::Indicator indicator = core.indicator();
    json trips = json::array();
    for (std::size_t i = 0; i < core::trip_count; ++i) {
        const auto trip = static_cast<core::Trip>(i);
        if (!core.latched().has(trip)) continue;
        trips.push_back(
            {{"cause", name_of(trip)}, {"active", core.active().has(trip)}, {"advice", explain(trip)}});
    }
    json faults = json::array();
    for (int i = 0; i < site::fault_count; ++i) {
        const auto fault = static_cast<site::Fault>(i);
        if (site.has(fault)) faults.push_back(site::info(fault).name);
    }
    json view{
        {"kind", "status"},
        {"time_s", site.now_s()},
        {"utc", utc_text(site.now())},
        {"state", name_of(core.state())},
        {"state_since_s", site.unit().seconds(core.state_since())},
        {"text", text_line(site)},
        {"lamp", lamp_json(indicator)},
        {"sounder", sounder_json(indicator.sounder)},
        {"sounder_since_s", site.unit().seconds(indicator.since)},
        {"trips", trips},
        {"emergency_latched", core.emergency_stop_latched()},
        {"current_zero", core.current_is_zero()},
        {"positive", site.battery_positive()},
        {"negative", site.battery_negative()},
        {"loop_a", site.loop_connected(0)},
        {"loop_b", site.loop_connected(1)},
        {"battery_number", site.batteries_used()},
        {"sheltered", site.in_shelter()},
        {"thunder", site.has(site::Fault::thunder_near)},
        {"utc_known", core.utc().known()},
        {"measured",
         {{"current_a_a_peak", 1e-3 * reading.loop_current_ma[0]},
          {"current_b_a_peak", 1e-3 * reading.loop_current_ma[1]},
          {"battery_v", 1e-3 * reading.battery_mv},
          {"bus_v", 1e-3 * reading.bus_mv},
          {"winding_c", 1e-3 * reading.winding_mdeg_c},
          {"electronics_c", 1e-3 * reading.electronics_mdeg_c}}},
        {"progress", progress_json(site)},
    };
    if (role == record::Role::trainer) view["faults"] = faults;
    if (core.state() == core::State::warning)
        view["starts_in_s"] = site.unit().seconds(core.start_at()) - site.now_s();
    view["crew"] = {{"seat", site.receiver_seat()}, {"recording", site.recording()}};
    const auto show_work = [&site](json& hands, site::Seat seat) {
        if (const auto action = site.action_in_progress(seat))
            hands["action_in_progress"] = {{"label", site::info(*action).label},
                                           {"left_s", site.action_left_s(seat)}};
    };
    show_work(view, site::Seat::transmitter);
    show_work(view["crew"], site::Seat::receiver);
    if (drill_) {
        view["drill"] = {{"over", drill_->over()},
                         {"time_limit_s", drill_->drill().time_limit_s},
                         {"pass_percent", drill_->drill().pass_percent}};
        if (drill_->over()) view["drill"]["end_s"] = drill_->end_s();
    }
    return view;
}

nlohmann::json Session::hello_json(record::Role role) const {
    json actions = json::array();
    for (int i = 0; i < site::action_count; ++i) {
        const site::ActionInfo& about = site::info(static_cast<site::Action>(i));
        actions.push_back({{"name", about.name},
                           {"label", about.label},
                           {"duration_s", about.duration_s},
                           {"seat", site::name_of(about.seat)}});
    }
    json faults = json::array();
    for (int i = 0; i < site::fault_count; ++i) {
        const site::FaultInfo& about = site::info(static_cast<site::Fault>(i));
        faults.push_back({{"name", about.name}, {"label", about.label}, {"effect", about.effect}});
    }
    const site::TransmitterSetup& transmitter = site_->transmitter();
    json view{{"kind", "hello"},
              {"version", base::version()},
              {"transmitter",
               {{"name", transmitter.name},
                {"site", transmitter.site},
                {"keep_out_m", transmitter.keep_out_m},
                {"cautions", transmitter.cautions},
                {"table_name", transmitter.table_name},
                {"table_crc32", transmitter.table_crc32},
                {"step_count", transmitter.table.step_count}}},
              {"role", record::name_of(role)},
              {"trainee", setup_.trainee},
              {"actions", actions},
              {"timeline", timeline_json(recent_, role == record::Role::trainer)}};
    if (role == record::Role::trainer) view["faults"] = faults;
    if (drill_) {
        const drill::Drill& drill = drill_->drill();
        view["drill"] = {{"title", drill.title},
                         {"level", drill.level},
                         {"story", drill.story},
                         {"cautions", drill.cautions},
                         {"time_limit_s", drill.time_limit_s},
                         {"pass_percent", drill.pass_percent},
                         {"over", drill_->over()}};
    }
    return view;
}

nlohmann::json Session::debrief(record::Role role) const {
    const bool told = role == record::Role::trainer || (drill_ && drill_->over());
    json view{{"kind", "debrief"},
              {"utc", utc_text(now())},
              {"transmitter", site_->transmitter().name},
              {"trainee", setup_.trainee}};
    if (!drill_) {
        view["title"] = "Free practice";
        view["timeline"] = timeline_json(recent_, told);
        return view;
    }
    const drill::Drill& drill = drill_->drill();
    const drill::Timeline& timeline = drill_->timeline();
    const double end_s = drill_->over() ? drill_->end_s() : site_->now_s();
    const drill::Score result = drill::score(drill, timeline, end_s);
    json rules = json::array();
    for (const drill::RuleScore& rule : result.rules) {
        rules.push_back({{"id", rule.id},
                         {"critical", rule.critical},
                         {"tested", rule.tested},
                         {"points", rule.points},
                         {"points_max", rule.points_max},
                         {"reason", rule.reason},
                         {"verdict", rule.verdict}});
    }
    json good = json::array();
    for (const drill::GoodStep& step : drill.good) {
        json one{{"text", step.text}, {"why", step.why}};
        const auto done = std::find_if(timeline.begin(), timeline.end(), [&](const drill::DrillEvent& event) {
            return step.did && step.did->has(event.type);
        });
        if (step.did) one["done_s"] = done == timeline.end() ? json(nullptr) : json(done->time_s);
        good.push_back(one);
    }
    json recoveries = json::array();
    for (int i = 0; i < site::fault_count; ++i) {
        const site::FaultInfo& about = site::info(static_cast<site::Fault>(i));
        const bool occurred =
            std::any_of(timeline.begin(), timeline.end(), [&](const drill::DrillEvent& event) {
                return event.type == site::EventType::fault_set(about.fault);
            });
        if (!occurred) continue;
        json steps = json::array();
        for (const std::string_view step : drill::recovery_steps(about.fault)) steps.push_back(step);
        recoveries.push_back({{"fault", about.label}, {"steps", steps}});
    }
    view["title"] = drill.title;
    view["level"] = drill.level;
    view["story"] = drill.story;
    view["cautions"] = drill.cautions;
    view["over"] = drill_->over();
    view["ended_by"] = drill::ended_by_text(*drill_);
    view["end_s"] = end_s;
    view["points"] = result.points;
    view["points_max"] = result.points_max;
    view["percent"] = result.percent;
    view["pass_percent"] = drill.pass_percent;
    view["passed"] = result.passed;
    view["goal"] = result.goal;
    view["missed_musts"] = result.missed_musts;
    view["needless"] = result.needless;
    view["needless_points"] = result.needless_points;
    view["dangers"] = result.dangers;
    view["danger_points"] = result.danger_points;
    view["rules"] = rules;
    view["good"] = good;
    view["recoveries"] = recoveries;
    view["timeline"] = timeline_json(timeline, told);
    return view;
}

}  // namespace ampturn::sim::session
