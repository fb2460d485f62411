#include "scheduler/sheet/sheet_parts.hpp"

#include <fmt/format.h>

#include <cmath>
#include <variant>

#include "scheduler/base/number_text.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/report/outcome_text.hpp"

namespace ampturn::sheet {

const char* invented_mark(const day::DayResult& day) {
    return day.invented ? " <span class=\"invented\">INVENTED SCENARIO</span>" : "";
}

std::string row(const std::string& name, const std::string& value) {
    return fmt::format("<tr><th>{}</th><td>{}</td></tr>\n", page::html_escaped(name),
                       page::html_escaped(value));
}

std::string utc_clock(double local_s, double utc_offset_h) {
    const double utc_s = std::fmod(local_s - 3600 * utc_offset_h + 2 * 86400, 86400);
    return base::clock_text(utc_s);
}

std::string banner(const day::DayResult& day) {
    if (day.completed) return "";
    std::string why;
    for (const day::Finding& finding : day.findings)
        if (std::holds_alternative<day::SweepsSent>(finding)) why = report::finding_text(finding, day);
    return fmt::format(
        "<div class=\"not-carried\"><strong>NOT CARRIED: batteries or time do not carry this plan.</strong> {} Change "
        "the plan before going, or say at the start which stations are left out.</div>\n",
        page::html_escaped(why));
}

}  // namespace ampturn::sheet
