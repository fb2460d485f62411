#include "scheduler/emission/emission_page.hpp"

#include <fmt/format.h>

#include <vector>

#include "scheduler/base/number_text.hpp"
#include "scheduler/emission/emission_output.hpp"
#include "scheduler/page/html.hpp"

namespace ampturn::emission {

std::string emission_html(const SweepEmission& emission) {
    std::vector<page::HtmlTable::Column> columns{{"step"}, {"Hz", true}};
    for (const double distance_m : told_distances_m) {
        columns.push_back({fmt::format("dB(uA/m) at {:g} m", distance_m), true});
        columns.push_back({fmt::format("ground, {:g} m", distance_m), true,
                           "dB(uA/m) at the ground, over the plan's earth"});
    }
    columns.push_back({"against the limits", false, "the worst of its lines, harmonics included"});
    page::HtmlTable table(emission_caption, columns);
    for (const StepEmission& step : emission.steps) {
        std::vector<std::string> row{fmt::format("{}{}", step.line.step_number, name_of(step.line.loop)),
                                     base::significant(step.line.frequency_hz, 5)};
        for (const FieldStrength& f : step.at) {
            row.push_back(db_text(f.largest_h_a_per_m()));
            row.push_back(f.ground_h_a_per_m ? db_text(*f.ground_h_a_per_m) : "-");
        }
        row.push_back(against_text(emission, step));
        table.row(row);
    }
    const std::string items =
        page::list_items(verdict_sentences(emission)) + page::list_items(service_sentences(emission));
    return table.html() + (items.empty() ? "" : "<ul>\n" + items + "</ul>\n");
}

}  // namespace ampturn::emission
