#include "scheduler/report/report.hpp"

#include "embedded/report.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/report/report_data.hpp"
#include "scheduler/report/report_sections.hpp"

namespace ampturn::report {

std::string report_html(const day::DayResult& day, const day::MonteCarloSummary* runs) {
    return page::html_page({.title = day.date.empty() ? day.survey_name : day.survey_name + ", " + day.date,
                            .body = report_body(day, runs),
                            .data_json = report_data_text(day, runs),
                            .charts = embedded::report::day()});
}

}  // namespace ampturn::report
