#include "scheduler/plan/report.hpp"

#include <fmt/format.h>

#include <stdexcept>

#include "embedded/report.hpp"
#include "scheduler/plan/html.hpp"
#include "scheduler/plan/report_data.hpp"
#include "scheduler/plan/report_sections.hpp"
#include "scheduler/plan/version.hpp"

namespace ampturn::plan {

namespace {

std::string value_of(std::string_view name, const DayResult& day) {
    if (name == "generator") return fmt::format("ampturn {} ({})", version(), git_hash());
    if (name == "title") return html_escaped(day.survey_name + ", " + day.date);
    if (name == "style") return std::string(embedded::report::style());
    if (name == "body") return report_body(day);
    if (name == "data") return script_safe(report_data_text(day));
    if (name == "echarts") return std::string(embedded::report::echarts());
    if (name == "charts") return std::string(embedded::report::charts());
    throw std::logic_error("page template names the unknown value " + std::string(name));
}

}  // namespace

std::string report_html(const DayResult& day) {
    std::string_view page = embedded::report::page();
    std::string out;
    while (true) {
        const std::size_t open = page.find("{{");
        out += page.substr(0, open);
        if (open == std::string_view::npos) return out;
        const std::size_t close = page.find("}}", open);
        out += value_of(page.substr(open + 2, close - open - 2), day);
        page.remove_prefix(close + 2);
    }
}

}  // namespace ampturn::plan
