#include "scheduler/report/outcome_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/report/day_names.hpp"

namespace ampturn::report {
namespace {

/// In the order of their words: days of the same sweeps read alike.
std::string counted(const std::vector<day::StopCount>& stops) {
    std::vector<std::string> parts;
    for (const day::StopCount& stop : stops)
        parts.push_back(fmt::format("{} x {}", stop.sweeps, text_of(stop.stop)));
    std::sort(parts.begin(), parts.end(), [](const std::string& a, const std::string& b) {
        return a.substr(a.find(' ')) < b.substr(b.find(' '));
    });
    return fmt::format("{}", fmt::join(parts, "; "));
}

/// What another order does to the readings.
std::string passed_text(int planned_passed_count, const day::DayResult& day) {
    if (day.passed_count < planned_passed_count)
        return fmt::format(" But {} required readings pass instead of {}: keep the plan's order.",
                           day.passed_count, planned_passed_count);
    if (day.passed_count > planned_passed_count)
        return fmt::format(" {} required readings pass instead of {}.", day.passed_count,
                           planned_passed_count);
    return "";
}

std::string order_text(const day::ImprovedOrder& order, const day::DayResult& day) {
    if (order.unchanged)
        return order.exact ? "The plan's order of stations is kept: no other shortens the crews' ways."
                           : "The plan's order of stations is kept: no shorter one was found.";
    std::string out = fmt::format(
        "Stations in {} order: the receiver crew is {} on its way instead of {} ({} km instead of {} km), "
        "moving takes both crews {} instead of {}, and the day is over at {} instead of {}.",
        order.exact ? "the shortest" : "a shorter", base::duration_text(order.receiver_s),
        base::duration_text(order.planned_receiver_s), base::significant(order.receiver_m / 1000, 3),
        base::significant(order.planned_receiver_m / 1000, 3), base::duration_text(order.moving_s),
        base::duration_text(order.planned_moving_s), base::clock_minutes_text(day.end_s),
        base::clock_minutes_text(order.planned_end_s));
    out += passed_text(order.planned_passed_count, day);
    return out;
}

std::string counted(int count, const char* what) {
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

std::string crew_order_text(const day::ImprovedCrews& order, const day::DayResult& day) {
    const std::string bound = fmt::format("none is over before {} or takes fewer than {}",
                                          base::clock_minutes_text(std::floor(order.bound.end_s / 60) * 60),
                                          counted(order.bound.sweeps, "sweep"));
    if (order.unchanged && order.better_by_times)
        return fmt::format(
            "The plan's crews and order of stations are kept: others are shorter by their times, but not on the simulated "
            "day; {}.",
            bound);
    if (order.unchanged)
        return fmt::format("The plan's crews and order of stations are kept: {}; {}.",
                           order.exact ? "no others are over earlier" : "no better ones were found", bound);
    std::string out = fmt::format(
        "Crews and stations in {} order: the day takes {} instead of {} and is over at {} instead of {}; {}.",
        order.exact ? "the best" : "a better", counted(order.by_times.sweeps, "sweep"),
        order.planned_by_times.sweeps, base::clock_minutes_text(day.end_s),
        base::clock_minutes_text(order.planned_end_s), bound);
    out += passed_text(order.planned_passed_count, day);
    return out;
}

/// With sets to spare only a rule that forbids it keeps a crew from joining another one.
bool no_second_set(const day::DayResult& day) {
    return !day.batteries_needed_suffice && day.batteries_needed < day::battery_sets_tried_most;
}

struct Words {
    const day::DayResult& day;

    std::string operator()(const day::SweepsSent& found) const {
        const std::string again = found.repeated.empty() ? ""
                                                         : fmt::format(" Sent again after breaking off: {}.",
                                                                       counted(found.repeated));
        if (found.all)
            return fmt::format("The day is carried: all {} sweeps are sent whole, back at base {}.{}",
                               found.whole, base::clock_minutes_text(found.day_end_s), again);
        return fmt::format("The day is NOT carried: {} sweeps sent whole, the rest not ({}).{}", found.whole,
                           counted(found.lost), again);
    }
    std::string operator()(const day::SweepsShared& found) const {
        return fmt::format("Stations listen together: {}.", heard_text(found.heard));
    }
    std::string operator()(const day::StationsReordered&) const {
        return day.order ? order_text(*day.order, day) : std::string();
    }
    std::string operator()(const day::CrewsReordered&) const {
        return day.crew_order ? crew_order_text(*day.crew_order, day) : std::string();
    }
    std::string operator()(const day::BatteryRanOut& found) const {
        if (std::isnan(found.lowest_v))
            return fmt::format("Battery set {} has no charge: it never supplied.", found.battery_number);
        const std::string how =
            found.at_cut_off
                ? fmt::format("reaches the cut-off of {:g} V", found.cut_off_v)
                : fmt::format("has no available charge left (terminals {:.1f} V)", found.lowest_v);
        return fmt::format("Battery set {} {} at {} after {:.1f} Ah.", found.battery_number, how,
                           base::clock_minutes_text(found.time_s), found.delivered_ah);
    }
    std::string operator()(const day::CarryMoreBatteries& found) const {
        return fmt::format(
            "Carry {} battery sets, not {}: no sweep is then lost for want of charge. Whether the day "
            "then goes, and what else it needs: ampturn day --make-it-go.",
            found.needed, found.carried);
    }
    std::string operator()(const day::FewerBatteriesWouldDo& found) const {
        return fmt::format("{} of the {} battery sets carried would do.", found.needed, found.carried);
    }
    std::string operator()(const day::NoBatteriesSuffice& found) const {
        if (no_second_set(day))
            return "No number of battery sets carries the day: the plan joins no second one.";
        return fmt::format("Even {} battery sets do not carry the day.", found.tried);
    }
    std::string operator()(const day::ReadingsPassed& found) const {
        std::string failing;
        for (const auto& [verdict, count] : found.failed)
            failing += fmt::format("{}{} {}", failing.empty() ? "" : ", ", count, name_of(verdict));
        return fmt::format("{} of {} required readings are usable{}.", found.passed, found.required,
                           failing.empty() ? "" : " (" + failing + ")");
    }
    std::string operator()(const day::CoilsAssumed& found) const {
        return fmt::format(
            "Assumed: the coils' noise has the slopes of their class. Flat at its floor, {} readings would be usable, not "
            "{}: measure your coils and state them (receiver.coil = \"custom\").",
            found.passed_with_flat_coils, found.passed);
    }
    std::string operator()(const day::FrequenciesLost& found) const {
        std::string list;
        for (const double f : found.frequencies_hz) list += (list.empty() ? "" : ", ") + base::brief(f, 4);
        const bool too_near = found.why == day::FrequenciesLost::Why::too_near;
        return fmt::format("{} {} usable at no station, most being {}: {} Hz.", found.frequencies_hz.size(),
                           found.frequencies_hz.size() == 1 ? "frequency is" : "frequencies are",
                           too_near ? "too near for a plane wave" : "too weak", list);
    }
    std::string operator()(const day::NoTensorSent& found) const {
        std::string list;
        for (const double f : found.frequencies_hz) list += (list.empty() ? "" : ", ") + base::brief(f, 4);
        return fmt::format(
            "The sweep gives no impedance tensor at {} Hz: it takes loops A and B in turn, not one alone "
            "and not both at once.",
            list);
    }
    std::string operator()(const day::MainsClash& found) const {
        return fmt::format("{} Hz lies in the guard band of mains harmonic {}: move it.",
                           base::brief(found.frequency_hz, 5), found.order);
    }
    std::string operator()(const day::SurveyRemarked& found) const {
        std::string text = found.text + ".";
        text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
        return text;
    }
    std::string operator()(const day::StepsBelowTarget& found) const {
        constexpr std::size_t told_most = 4;
        std::string list;
        for (std::size_t i = 0; i < std::min(told_most, found.steps.size()); ++i) {
            const day::StepsBelowTarget::Step& step = found.steps[i];
            list += fmt::format("{}{} Hz loop {} {:.1f} A of {:g} A ({})", list.empty() ? "" : "; ",
                                base::brief(step.frequency_hz, 5), name_of(step.loop), step.current_a_peak,
                                step.target_a_peak, name_of(step.limited_by));
        }
        return fmt::format("{} steps stay more than 10 % below their target current: {}{}.",
                           found.steps.size(), list, found.steps.size() > told_most ? "; ..." : "");
    }
};

struct ActivityWords {
    const day::TimelineEntry& entry;
    const day::DayResult& day;

    std::string by_crew(int receiver_index) const {
        const std::string name = receiver_crew_name(day, receiver_index);
        return name.empty() ? "" : " by " + name;
    }

    std::string operator()(const day::Briefing&) const {
        return "safety talk, weather and lightning check, radio check";
    }
    std::string operator()(const day::Journey& journey) const {
        const std::string name = receiver_crew_name(day, journey.receiver_index);
        return fmt::format("{}: {} to {}",
                           journey.crew == day::Crew::transmitter ? "transmitter crew"
                           : name.empty()                         ? "receiver crew"
                                                                  : "receiver crew " + name,
                           journey.from, journey.to);
    }
    std::string operator()(const day::SetUp& set_up) const {
        return set_up.crew == day::Crew::transmitter
                   ? "loops raised and checked at " + site_name(day, entry.site_index)
                   : "sensors laid out at " + station_name(day, entry.station_index) +
                         by_crew(set_up.receiver_index);
    }
    std::string operator()(const day::PackUp& pack_up) const {
        return pack_up.crew == day::Crew::transmitter
                   ? "power off, loops down at " + site_name(day, entry.site_index)
                   : "sensors up at " + station_name(day, entry.station_index) +
                         by_crew(pack_up.receiver_index);
    }
    std::string operator()(const day::SweepAttempt& sweep) const {
        const std::string which =
            fmt::format("sweep {} to {}", sweep.number, station_names(day, sweep.listeners));
        return sweep.stopped_by ? which + " broke off: " + text_of(*sweep.stopped_by) : which;
    }
    std::string operator()(const day::BatterySwap& swap) const {
        std::string joined = fmt::format("battery set {} joined", swap.set_number);
        switch (swap.cause) {
            case day::BatterySwap::Cause::low_at_site:
                return joined;
            case day::BatterySwap::Cause::low:
                return joined + fmt::format(": less than {:.0f} % left", 100 * swap.below_fraction);
            case day::BatterySwap::Cause::spent:
                return joined + ": the last one is spent";
        }
        return joined;
    }
    std::string operator()(const day::Cooling&) const { return "unit cools below its restart limit"; }
    std::string operator()(const day::TransmitterStops&) const {
        return "no charged battery left: the transmitter's day ends here";
    }
};

}  // namespace

std::string finding_text(const day::Finding& finding, const day::DayResult& day) {
    return std::visit(Words{day}, finding);
}

std::string heard_text(const std::vector<day::SweepsHeard>& heard) {
    std::vector<std::string> parts;
    int sweeps = 0;
    for (const day::SweepsHeard& h : heard) {
        sweeps += h.sweeps;
        parts.push_back(fmt::format("{} with {} listening",
                                    heard.size() == 1 ? "each" : std::to_string(h.sweeps),
                                    counted(h.stations, "station")));
    }
    return fmt::format("{}, {}", counted(sweeps, "sweep"), fmt::join(parts, ", "));
}

std::string crew_text(const day::TimelineEntry& entry, const day::DayResult& day) {
    return std::visit(
        [&](const auto& activity) -> std::string {
            if constexpr (requires { activity.receiver_index; })
                return activity.crew == day::Crew::transmitter
                           ? "transmitter"
                           : receiver_crew_name(day, activity.receiver_index);
            return "";
        },
        entry.activity);
}

std::string back_text(const day::CrewSummary& crew) {
    return std::isnan(crew.back_s) ? "stays at the base" : base::clock_text(crew.back_s);
}

std::string batteries_to_carry(const day::DayResult& day) {
    return day.batteries_needed_suffice ? std::to_string(day.batteries_needed) : "no number";
}

std::string batteries_needed_text(const day::DayResult& day) {
    if (no_second_set(day))
        return "day.swap_rule = \"never\": no second set is joined, however many are carried";
    if (!day.batteries_needed_suffice)
        return fmt::format("even {} sets do not carry the day: one set does not carry one sweep",
                           day::battery_sets_tried_most);
    return fmt::format("the same day run with as many sets as it takes used {}", day.batteries_needed);
}

std::string limit_text(const day::StepOutcome& step) {
    return step.limited_by ? name_of(*step.limited_by) : "";
}

std::string stop_text(const day::SweepOutcome& sweep) {
    return sweep.stopped_by ? text_of(*sweep.stopped_by) : "";
}

std::string activity_text(const day::TimelineEntry& entry, const day::DayResult& day) {
    return std::visit(ActivityWords{entry, day}, entry.activity);
}

bool at_cut_off(const day::BatteryUse& use, const day::DayResult& day) {
    return use.reached_cut_off && use.lowest_v <= day.battery_cut_off_v;
}

std::string battery_end_text(const day::BatteryUse& use, const day::DayResult& day) {
    if (!use.reached_cut_off) return "not reached";
    const std::string when = base::clock_text(use.cut_off_s);
    return at_cut_off(use, day) ? "reached at " + when : "not reached; no charge left at " + when;
}

bool lower(double a_v, double b_v) { return a_v < b_v || (std::isnan(b_v) && !std::isnan(a_v)); }

double if_sent(double value, double dwell_s) {
    return dwell_s > 0 ? value : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace ampturn::report
