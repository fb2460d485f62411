#include "firmware-sim/drill/score.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim {
namespace {

std::optional<double> first_time(const Timeline& timeline, const std::string& name) {
    for (const Happening& happening : timeline) {
        if (happening.name == name) return happening.time_s;
    }
    return std::nullopt;
}

/// A happening in plain words: "found:area_clear" is "area clear", "trip:open_loop" is "trip open loop".
std::string plain(const std::string& name) {
    const std::size_t colon = name.find(':');
    const std::string kind = name.substr(0, colon);
    std::string words = name.substr(colon + 1);
    std::replace(words.begin(), words.end(), '_', ' ');
    if (kind == "trip" || kind == "table") return kind + " " + words;
    if (kind == "cleared") return words + " gone";
    if (kind == "tried") return words + " (refused)";
    return words;
}

void grant(RuleScore& result, double share) {
    result.points = std::round(result.points_max * share * 10) / 10;
}

/// Each step is looked for after the one before it, so that doing something twice harms nobody.
void judge_order(const ScoreRule& rule, const Timeline& timeline, RuleScore& result) {
    result.tested = true;  // doing nothing is no way to the points
    std::size_t from = 0, found = 0;
    std::string wrong, last;
    for (const std::string& step : rule.steps) {
        std::size_t at = from;
        while (at < timeline.size() && timeline[at].name != step) ++at;
        if (at < timeline.size()) {
            from = at + 1;
            last = step;
            ++found;
            continue;
        }
        const auto earlier = first_time(timeline, step);
        if (!wrong.empty()) continue;
        wrong = earlier ? fmt::format("{} at {} came before {}", plain(step), plan::elapsed_text(*earlier),
                                      plain(last))
                        : fmt::format("{} is missing", plain(step));
    }
    if (found > 1) grant(result, static_cast<double>(found - 1) / static_cast<double>(rule.steps.size() - 1));
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
            wrong = fmt::format("{} at {} without {}", plain(rule.then), plan::elapsed_text(happening.time_s),
                                plain(rule.first));
        }
    }
    result.tested = all > 0;
    if (all == 0) return;
    grant(result, static_cast<double>(good) / all);
    result.verdict = wrong.empty() ? fmt::format("{} every time ({})", plain(rule.first), all) : wrong;
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
            if (seen.empty())
                seen = fmt::format("{} {:.1f} s after {}", plain(rule.expect), *reaction, plain(rule.after));
        } else {
            seen = reaction ? fmt::format("{} only {:.1f} s after {} (allowed {:g} s)", plain(rule.expect),
                                          *reaction, plain(rule.after), rule.seconds)
                            : fmt::format("no {} after {} at {}", plain(rule.expect), plain(rule.after),
                                          plan::elapsed_text(since));
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
        case ScoreRule::Kind::never:
            good = count == 0;
            break;
        case ScoreRule::Kind::reached:
            good = count > 0;
            break;
        default:
            good = count <= rule.count;
            break;
    }
    grant(result, good ? 1 : 0);
    result.verdict = count == 0 ? fmt::format("no {}", plain(rule.happening))
                                : fmt::format("{}{} at {}", plain(rule.happening),
                                              count > 1 ? fmt::format(", {} times, first", count) : "",
                                              plan::elapsed_text(time_s));
}

}  // namespace

Score score(const Drill& drill, const Timeline& timeline, double end_s) {
    Score total;
    for (const ScoreRule& rule : drill.rules) {
        RuleScore result;
        result.id = rule.id;
        result.critical = rule.critical;
        result.points_max = rule.points;
        result.reason = rule.reason;
        switch (rule.kind) {
            case ScoreRule::Kind::order:
                judge_order(rule, timeline, result);
                break;
            case ScoreRule::Kind::before:
                judge_before(rule, timeline, result);
                break;
            case ScoreRule::Kind::within:
                judge_within(rule, timeline, end_s, result);
                break;
            case ScoreRule::Kind::never:
            case ScoreRule::Kind::reached:
            case ScoreRule::Kind::at_most:
                judge_count(rule, timeline, result);
                break;
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
    const bool reached = drill.ends_on.empty() || first_time(timeline, drill.ends_on).has_value();
    total.passed = safe && reached && total.points_max > 0 && total.percent >= drill.pass_percent;
    return total;
}

}  // namespace ampturn::sim
