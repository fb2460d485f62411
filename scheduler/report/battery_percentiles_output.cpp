#include "scheduler/report/battery_percentiles_output.hpp"

#include <cstddef>
#include <utility>
#include <vector>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/json.hpp"

namespace ampturn::report {
namespace {
using Json = nlohmann::ordered_json;
}  // namespace

nlohmann::ordered_json battery_percentiles_json(const day::BatteryPercentiles& percentiles) {
    const auto columns = [](const std::vector<day::Spread>& spreads) {
        Json out{{"lowest", Json::array()},
                 {"p10", Json::array()},
                 {"p50", Json::array()},
                 {"p90", Json::array()},
                 {"highest", Json::array()}};
        for (const day::Spread& s : spreads) {
            out["lowest"].push_back(base::json_number(s.lowest));
            out["p10"].push_back(base::json_number(s.percentiles.p10));
            out["p50"].push_back(base::json_number(s.percentiles.p50));
            out["p90"].push_back(base::json_number(s.percentiles.p90));
            out["highest"].push_back(base::json_number(s.highest));
        }
        return out;
    };
    Json times = Json::array();
    for (const double t : percentiles.time_s) times.push_back(base::json_number(t));
    return {{"runs", percentiles.runs},
            {"step_s", day::battery_grid_step_s},
            {"time_s", std::move(times)},
            {"charge_total_fraction", columns(percentiles.charge_fraction)},
            {"connected_runs", percentiles.connected},
            {"lowest_terminal_v", columns(percentiles.lowest_v)}};
}

std::string battery_percentiles_csv(const day::BatteryPercentiles& percentiles) {
    base::CsvTable csv({"time_s", "runs", "charge_lowest_fraction", "charge_p10_fraction",
                        "charge_p50_fraction", "charge_p90_fraction", "charge_highest_fraction",
                        "connected_runs", "terminal_lowest_v", "terminal_p10_v", "terminal_p50_v",
                        "terminal_p90_v", "terminal_highest_v"});
    const auto add = [&](const day::Spread& s) {
        csv.cell(s.lowest).cell(s.percentiles.p10).cell(s.percentiles.p50).cell(s.percentiles.p90);
        csv.cell(s.highest);
    };
    for (std::size_t k = 0; k < percentiles.time_s.size(); ++k) {
        csv.cell(percentiles.time_s[k]).cell(percentiles.runs);
        add(percentiles.charge_fraction[k]);
        csv.cell(percentiles.connected[k]);
        add(percentiles.lowest_v[k]);
        csv.end_row();
    }
    return csv.text();
}

}  // namespace ampturn::report
