#include "scheduler/cli/day_files.hpp"

#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/receiver_sheet/receiver_output.hpp"
#include "scheduler/report/battery_percentiles_output.hpp"
#include "scheduler/report/day_json.hpp"
#include "scheduler/report/day_tables.hpp"
#include "scheduler/report/monte_carlo_text.hpp"
#include "scheduler/report/report.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::cli {

void write_day_files(const std::string& folder, const day::DayResult& day,
                     const day::MonteCarloSummary* runs) {
    base::make_output_directory(folder);
    const std::string below = folder + "/";
    base::write_output_file(below + "day.json", report::day_json_text(day));
    for (const base::NamedText& table : report::day_tables(day))
        base::write_output_file(below + table.name, table.text);
    base::write_output_file(below + "report.html", report::report_html(day, runs));
    if (runs == nullptr) return;
    base::write_output_file(below + "monte_carlo.json", report::monte_carlo_json_text(*runs, day));
    base::write_output_file(below + "battery_percentiles.csv",
                            report::battery_percentiles_csv(runs->battery));
}

std::vector<std::string> write_receiver_files(const std::string& folder, const plan::Plan& plan,
                                              const day::DayResult& day) {
    std::vector<std::string> out;
    for (const base::NamedText& file :
         receiver_sheet::receiver_files(plan, day,
                                        receiver_sheet::receiver_schedules(plan, setup::sweep_setup_of(plan),
                                                                           day, base::thread_count(0)))) {
        out.push_back(folder + "/" + file.name);
        base::write_output_file(out.back(), file.text);
    }
    return out;
}

}  // namespace ampturn::cli
