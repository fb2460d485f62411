#include "firmware-sim/host/debrief_text.hpp"

#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::host {

namespace {

using nlohmann::json;

std::string clock(double seconds) { return base::elapsed_text(seconds); }

}  // namespace

std::string debrief_text(const json& d) {
    std::string text = fmt::format("{}\n", d.value("title", ""));
    if (!d.contains("rules")) return text + "No drill: a free practice has no points.\n";
    const bool over = d.value("over", false);
    text += fmt::format("{}: {:g} of {:g} points ({:.0f} %, {:g} % wanted).\n",
                        !over                      ? "So far"
                        : d.value("passed", false) ? "Passed"
                                                   : "Not passed",
                        d.value("points", 0.0), d.value("points_max", 0.0), d.value("percent", 0.0),
                        d.value("pass_percent", 0.0));
    if (over)
        text += fmt::format("Ended after {}: {}.\n", clock(d.value("end_s", 0.0)), d.value("ended_by", ""));
    if (const std::string goal = d.value("goal", ""); !goal.empty()) text += goal + "\n";
    for (const json& must : d.value("missed_musts", json::array()))
        text += "A must was missed. " + must.get<std::string>() + "\n";
    for (const json& danger : d.value("dangers", json::array()))
        text += fmt::format("Danger: {}.\n", danger.get<std::string>());
    if (const double cost = d.value("danger_points", 0.0); cost > 0)
        text += fmt::format("Dangers cost {:g} points.\n", cost);
    for (const json& needless : d.value("needless", json::array()))
        text += fmt::format("Needless: {}.\n", needless.get<std::string>());
    if (const double cost = d.value("needless_points", 0.0); cost > 0)
        text += fmt::format("Needless work cost {:g} points.\n", cost);
    text += "\nPoints\n";
    for (const json& rule : d["rules"])
        text += fmt::format(
            "  {:>9}  {} ({}){}\n",
            rule.value("tested", false)
                ? fmt::format("{:g} / {:g}", rule.value("points", 0.0), rule.value("points_max", 0.0))
                : std::string("untested"),
            rule.value("reason", ""), rule.value("verdict", ""),
            rule.value("critical", false) ? " Must." : "");
    text += "\nWhat a good operator does\n";
    for (const json& step : d["good"]) {
        std::string when = "-";
        if (step.contains("done_s"))
            when = step["done_s"].is_null() ? "not done" : clock(step["done_s"].get<double>());
        text += fmt::format("  {:>9}  {}: {}\n", when, step.value("text", ""), step.value("why", ""));
    }
    return text;
}

}  // namespace ampturn::sim::host
