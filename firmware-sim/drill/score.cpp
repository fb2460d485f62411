#include "firmware-sim/drill/score.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace ampturn::sim {
namespace {

std::optional<double> first_time(const Timeline& timeline, const std::string& name) {
    for (const Happening& happening : timeline) {
        if (happening.name == name) return happening.time_s;
    }
    return std::nullopt;
}

void grant(RuleScore& result, double share) { result.points = std::round(result.points_max * share * 10) / 10; }

void judge_order(const ScoreRule& rule, const Timeline& timeline, RuleScore& result) {
    std::vector<std::optional<double>> times;
    bool any = false;
    for (const std::string& step : rule.steps) {
        times.push_back(first_time(timeline, step));
        any = any || times.back();
    }
    result.tested = true;  // doing nothing is no way to the points
    if (!any) {
        result.verdict = "none of the steps was done";
        return;
    }
    int right = 0;
    std::string wrong;
    for (std::size_t i = 1; i < times.size(); ++i) {
        if (times[i - 1] && times[i] && *times[i - 1] <= *times[i]) {
            ++right;
        } else if (wrong.empty()) {
            wrong = !times[i - 1]  ? fmt::format("{} is missing", rule.steps[i - 1])
                    : !times[i] ? fmt::format("{} is missing", rule.steps[i])
                                : fmt::format("{} at {} came before {} at {}", rule.steps[i], clock_text(*times[i]),
                                              rule.steps[i - 1], clock_text(*times[i - 1]));
        }
    }
    grant(result, static_cast<double>(right) / static_cast<double>(times.size() - 1));
    result.verdict = wrong.empty() ? "in the right order" : wrong;
}

void judge_before(const ScoreRule& rule, const Timeline& timeline, RuleScore& result) {
    bool ready = false;
    int good = 0, all = 0;
    std::string wrong;
    for (const Happening& happening : timeline) {
        if (!rule.since.empty() && happening.name == rule.since) ready = false;
        if (happening.name == rule.first) ready = true;
        if (happening.name != rule.then) continue;
        ++all;
        if (ready) {
            ++good;
        } else if (wrong.empty()) {
            wrong = fmt::format("{} at {} without {}", rule.then, clock_text(happening.time_s), rule.first);
        }
    }
    result.tested = all > 0;
    if (all == 0) return;
    grant(result, static_cast<double>(good) / all);
    result.verdict = wrong.empty() ? fmt::format("{} every time ({})", rule.first, all) : wrong;
}

void judge_within(const ScoreRule& rule, const Timeline& timeline, double end_s, RuleScore& result) {
    int good = 0, all = 0;
    std::string seen;
    for (std::size_t i = 0; i < timeline.size(); ++i) {
        if (timeline[i].name != rule.after) continue;
        const double since = timeline[i].time_s;
        std::optional<double> reaction;
        for (std::size_t k = i; k < timeline.size() && !reaction; ++k) {
            if (timeline[k].name == rule.expect) reaction = timeline[k].time_s - since;
        }
        if (!reaction && since + rule.seconds > end_s) continue;
        ++all;
        if (reaction && *reaction <= rule.seconds) {
            ++good;
            if (seen.empty()) seen = fmt::format("{} {:.1f} s after {}", rule.expect, *reaction, rule.after);
        } else {
            seen = reaction ? fmt::format("{} only {:.1f} s after {} (allowed {:g} s)", rule.expect, *reaction, rule.after,
                                          rule.seconds)
                            : fmt::format("no {} after {} at {}", rule.expect, rule.after, clock_text(since));
        }
    }
    result.tested = all > 0;
    if (all == 0) return;
    grant(result, static_cast<double>(good) / all);
    result.verdict = seen;
}

void judge_count(const ScoreRule& rule, const Timeline& timeline, RuleScore& result) {
    int count = 0;
    double time_s = 0;
    for (const Happening& happening : timeline) {
        if (happening.name != rule.happening) continue;
        if (count++ == 0) time_s = happening.time_s;
    }
    result.tested = true;
    bool good = false;
    switch (rule.kind) {
        case ScoreRule::Kind::never: good = count == 0; break;
        case ScoreRule::Kind::reached: good = count > 0; break;
        default: good = count <= rule.count; break;
    }
    grant(result, good ? 1 : 0);
    result.verdict = count == 0 ? fmt::format("no {}", rule.happening)
                                : fmt::format("{}{} at {}", rule.happening,
                                              count > 1 ? fmt::format(", {} times, first", count) : "",
                                              clock_text(time_s));
}

}  // namespace

std::string clock_text(double time_s) {
    const auto seconds = static_cast<long long>(std::floor(std::max(0.0, time_s)));
    const long long hours = seconds / 3600, minutes = seconds / 60 % 60, rest = seconds % 60;
    return hours > 0 ? fmt::format("{}:{:02}:{:02}", hours, minutes, rest) : fmt::format("{:02}:{:02}", minutes, rest);
}

Score score(const Drill& drill, const Timeline& timeline, double end_s) {
    Score total;
    for (const ScoreRule& rule : drill.rules) {
        RuleScore result;
        result.id = rule.id;
        result.critical = rule.critical;
        result.points_max = rule.points;
        result.reason = rule.reason;
        switch (rule.kind) {
            case ScoreRule::Kind::order: judge_order(rule, timeline, result); break;
            case ScoreRule::Kind::before: judge_before(rule, timeline, result); break;
            case ScoreRule::Kind::within: judge_within(rule, timeline, end_s, result); break;
            case ScoreRule::Kind::never:
            case ScoreRule::Kind::reached:
            case ScoreRule::Kind::at_most: judge_count(rule, timeline, result); break;
        }
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
    total.passed = safe && total.points_max > 0 && total.percent >= drill.pass_percent;
    return total;
}

}  // namespace ampturn::sim
