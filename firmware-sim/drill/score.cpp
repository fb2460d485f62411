#include "firmware-sim/drill/score.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <variant>

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::drill {
namespace {

std::optional<double> first_time(const Timeline& timeline, const AnyOf& any) {
    for (const DrillEvent& event : timeline) {
        if (any.has(event.type)) return event.time_s;
    }
    return std::nullopt;
}

/// In plain words: a finding is "area clear", a trip is "trip open loop".
std::string plain(const site::EventType& type) {
    std::string words(site::detail_name_of(type));
    std::replace(words.begin(), words.end(), '_', ' ');
    switch (type.kind) {
        case site::EventType::Kind::tripped:
            return "trip " + words;
        case site::EventType::Kind::table_done:
            return "table " + words;
        case site::EventType::Kind::fault_cleared:
            return words + " gone";
        case site::EventType::Kind::tried:
            return words + " (refused)";
        case site::EventType::Kind::did:
        case site::EventType::Kind::found:
        case site::EventType::Kind::danger:
        case site::EventType::Kind::state_entered:
        case site::EventType::Kind::fault_set:
        case site::EventType::Kind::story:
        case site::EventType::Kind::remark:
            return words;
    }
    return words;
}

std::string plain(const AnyOf& any) {
    std::string words;
    for (const site::EventType& type : any.types) words += (words.empty() ? "" : " or ") + plain(type);
    return words;
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
                last = plain(timeline[at].type);
                ++found;
                continue;
            }
            const auto earlier = first_time(timeline, step);
            if (!wrong.empty()) continue;
            wrong = earlier ? fmt::format("{} at {} came before {}", plain(step),
                                          base::elapsed_text(*earlier), last)
                            : fmt::format("{} is missing", plain(step));
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
                wrong = fmt::format("{} at {} without {}", plain(rule.then), base::elapsed_text(event.time_s),
                                    plain(rule.first));
            }
        }
        result.tested = all > 0;
        if (all == 0) return;
        grant(result, static_cast<double>(good) / all);
        result.verdict = wrong.empty() ? fmt::format("{} every time ({})", plain(rule.first), all) : wrong;
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
                    reaction = timeline[k].time_s - since, done = plain(timeline[k].type);
            }
            if (!reaction && since + rule.seconds > end_s) continue;
            ++all;
            if (reaction && *reaction <= rule.seconds) {
                ++good;
                if (seen.empty())
                    seen = fmt::format("{} {:.1f} s after {}", done, *reaction, plain(rule.after));
            } else {
                seen = reaction ? fmt::format("{} only {:.1f} s after {} (allowed {:g} s)", done, *reaction,
                                              plain(rule.after), rule.seconds)
                                : fmt::format("no {} after {} at {}", plain(rule.expect), plain(rule.after),
                                              base::elapsed_text(since));
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
        result.verdict = times == 0 ? fmt::format("no {}", plain(type))
                                    : fmt::format("{}{} at {}", plain(type),
                                                  times > 1 ? fmt::format(", {} times, first", times) : "",
                                                  base::elapsed_text(first_time(timeline, type).value_or(0)));
        return times;
    }
    void grant_if(bool good) const {
        result.tested = true;
        grant(result, good ? 1 : 0);
    }
};

}  // namespace

Score score(const Drill& drill, const Timeline& timeline, double end_s) {
    Score total;
    for (const ScoreRule& rule : drill.rules) {
        RuleScore result;
        result.id = rule.id;
        result.critical = rule.critical;
        result.points_max = rule.points;
        result.reason = rule.reason;
        std::visit(Examiner{timeline, end_s, result}, rule.test);
        if (result.tested) {
            total.points += result.points;
            total.points_max += result.points_max;
        } else {
            result.verdict = "not put to the test";
        }
        total.rules.push_back(std::move(result));
    }
    total.percent = total.points_max > 0 ? 100 * total.points / total.points_max : 0;
    const bool safe = std::none_of(total.rules.begin(), total.rules.end(), [](const RuleScore& rule) {
        return rule.critical && rule.tested && rule.points < rule.points_max;
    });
    const bool reached = !drill.ends_on || first_time(timeline, *drill.ends_on).has_value();
    total.passed = safe && reached && total.points_max > 0 && total.percent >= drill.pass_percent;
    return total;
}

}  // namespace ampturn::sim::drill
