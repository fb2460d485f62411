#include "firmware-sim/drill/score.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <variant>

#include "firmware-sim/drill/needless_work.hpp"
#include "firmware-sim/drill/plain_words.hpp"
#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::drill {
namespace {

std::optional<double> first_time(const Timeline& timeline, const AnyOf& any) {
    for (const DrillEvent& event : timeline) {
        if (any.has(event.type)) return event.time_s;
    }
    return std::nullopt;
}

void grant(RuleScore& result, double share) {
    result.points = std::round(result.points_max * share * 10) / 10;
}

/// Puts one rule to the test.
struct Examiner {
    const Timeline& timeline;
    double end_s;
    RuleScore& result;

    /// Each step is looked for after the one before it, so that doing something twice harms nobody.
    void operator()(const ScoreRule::Order& rule) const {
        result.tested = true;  // doing nothing is no way to the points
        std::size_t from = 0, found = 0;
        std::string wrong, last;
        for (const AnyOf& step : rule.steps) {
            std::size_t at = from;
            while (at < timeline.size() && !step.has(timeline[at].type)) ++at;
            if (at < timeline.size()) {
                from = at + 1;
                last = plain_words(timeline[at].type);
                ++found;
                continue;
            }
            const auto earlier = first_time(timeline, step);
            if (!wrong.empty()) continue;
            wrong = earlier ? fmt::format("{} at {} came before {}", plain_words(step),
                                          base::elapsed_text(*earlier), last)
                            : fmt::format("{} is missing", plain_words(step));
        }
        if (found > 1)
            grant(result, static_cast<double>(found - 1) / static_cast<double>(rule.steps.size() - 1));
        result.verdict = wrong.empty() ? "in the right order" : wrong;
    }

    void operator()(const ScoreRule::Before& rule) const {
        bool ready = false;
        int good = 0, all = 0;
        std::string wrong;
        for (const DrillEvent& event : timeline) {
            if (event.type == rule.since) ready = false;
            if (rule.first.has(event.type)) ready = true;
            if (event.type != rule.then) continue;
            ++all;
            if (ready) {
                ++good;
            } else if (wrong.empty()) {
                wrong = fmt::format("{} at {} without {}", plain_words(rule.then),
                                    base::elapsed_text(event.time_s), plain_words(rule.first));
            }
        }
        result.tested = all > 0;
        if (all == 0) return;
        grant(result, static_cast<double>(good) / all);
        result.verdict =
            wrong.empty() ? fmt::format("{} every time ({})", plain_words(rule.first), all) : wrong;
    }

    void operator()(const ScoreRule::Within& rule) const {
        int good = 0, all = 0;
        std::string seen;
        for (std::size_t i = 0; i < timeline.size(); ++i) {
            if (timeline[i].type != rule.after) continue;
            const double since = timeline[i].time_s;
            std::optional<double> reaction;
            std::string done;
            for (std::size_t k = i; k < timeline.size() && !reaction; ++k) {
                if (rule.expect.has(timeline[k].type))
                    reaction = timeline[k].time_s - since, done = plain_words(timeline[k].type);
            }
            if (!reaction && since + rule.seconds > end_s) continue;
            ++all;
            if (reaction && *reaction <= rule.seconds) {
                ++good;
                if (seen.empty())
                    seen = fmt::format("{} {:.1f} s after {}", done, *reaction, plain_words(rule.after));
            } else {
                seen = reaction ? fmt::format("{} only {:.1f} s after {} (allowed {:g} s)", done, *reaction,
                                              plain_words(rule.after), rule.seconds)
                                : fmt::format("no {} after {} at {}", plain_words(rule.expect),
                                              plain_words(rule.after), base::elapsed_text(since));
            }
        }
        result.tested = all > 0;
        if (all == 0) return;
        grant(result, static_cast<double>(good) / all);
        result.verdict = seen;
    }

    void operator()(const ScoreRule::Never& rule) const { grant_if(count(rule.event) == 0); }
    void operator()(const ScoreRule::Reached& rule) const { grant_if(count(rule.event) > 0); }
    void operator()(const ScoreRule::AtMost& rule) const { grant_if(count(rule.event) <= rule.count); }

    /// How often it happened; says so in the verdict.
    int count(const site::EventType& type) const {
        const auto times = static_cast<int>(std::count_if(
            timeline.begin(), timeline.end(), [&](const DrillEvent& event) { return event.type == type; }));
        result.verdict = times == 0 ? fmt::format("never: {}", plain_words(type))
                                    : fmt::format("{}{} at {}", plain_words(type),
                                                  times > 1 ? fmt::format(", {} times, first", times) : "",
                                                  base::elapsed_text(first_time(timeline, type).value_or(0)));
        return times;
    }
    void grant_if(bool good) const {
        result.tested = true;
        grant(result, good ? 1 : 0);
    }
};

/// Each kind once, the first of it.
std::vector<DrillEvent> dangers_without_rule(const Drill& drill, const Timeline& timeline) {
    std::vector<site::EventType> told;
    for (const ScoreRule& rule : drill.rules) {
        if (const auto* never = std::get_if<ScoreRule::Never>(&rule.test)) told.push_back(never->event);
        if (const auto* at_most = std::get_if<ScoreRule::AtMost>(&rule.test)) told.push_back(at_most->event);
    }
    std::vector<DrillEvent> out;
    for (const DrillEvent& event : timeline) {
        // What lasts is told again and again, and the trainee's answer to it is what a rule times.
        if (event.type.kind != site::EventType::Kind::danger ||
            site::lasts(std::get<site::Danger>(event.type.detail)) ||
            std::find(told.begin(), told.end(), event.type) != told.end())
            continue;
        told.push_back(event.type);
        out.push_back(event);
    }
    return out;
}

}  // namespace

Score score(const Drill& drill, const Timeline& timeline, double end_s) {
    // Doing nothing is no way to points, and puts nothing to the test that is not to be done.
    const bool worked = std::any_of(timeline.begin(), timeline.end(), [](const DrillEvent& event) {
        return event.type.kind == site::EventType::Kind::did;
    });
    Score total;
    for (const ScoreRule& rule : drill.rules) {
        RuleScore result;
        result.id = rule.id;
        result.critical = rule.critical;
        result.points_max = rule.points;
        result.reason = rule.reason;
        std::visit(Examiner{timeline, end_s, result}, rule.test);
        if (!result.tested) result.verdict = "not put to the test";
        if (!worked) {
            result.points = 0;
            if (std::holds_alternative<ScoreRule::Never>(rule.test) ||
                std::holds_alternative<ScoreRule::AtMost>(rule.test)) {
                result.tested = false;
                result.verdict = "nothing was done";
            }
        }
        if (result.tested) {
            total.points += result.points;
            total.points_max += result.points_max;
        }
        total.rules.push_back(std::move(result));
    }
    for (const NeedlessWork& work : needless_work(drill, timeline))
        total.needless.push_back(fmt::format("{} at {}", plain_words(site::EventType::did(work.action)),
                                             base::elapsed_text(work.time_s)));
    total.needless_points = needless_costs * static_cast<double>(total.needless.size());
    for (const DrillEvent& danger : dangers_without_rule(drill, timeline))
        total.dangers.push_back(fmt::format("{} at {}",
                                            danger.text.empty() ? plain_words(danger.type) : danger.text,
                                            base::elapsed_text(danger.time_s)));
    total.danger_points = danger_costs * static_cast<double>(total.dangers.size());
    total.points = std::max(0.0, total.points - total.needless_points - total.danger_points);
    total.percent = total.points_max > 0 ? 100 * total.points / total.points_max : 0;
    const bool safe = std::none_of(total.rules.begin(), total.rules.end(), [](const RuleScore& rule) {
        return rule.critical && rule.tested && rule.points < rule.points_max;
    });
    const auto goal_s = drill.ends_on ? first_time(timeline, *drill.ends_on) : std::nullopt;
    const bool reached = !drill.ends_on || goal_s.has_value();
    if (drill.ends_on)
        total.goal = reached ? fmt::format("Goal reached at {}: {}.", base::elapsed_text(*goal_s),
                                           plain_words(*drill.ends_on))
                             : fmt::format("Goal not reached: {}.", plain_words(*drill.ends_on));
    for (const RuleScore& rule : total.rules)
        if (rule.critical && rule.tested && rule.points < rule.points_max)
            total.missed_musts.push_back(fmt::format("{} ({})", rule.reason, rule.verdict));
    total.passed = safe && reached && total.points_max > 0 && total.percent >= drill.pass_percent;
    return total;
}

}  // namespace ampturn::sim::drill
