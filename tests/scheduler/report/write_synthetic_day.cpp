// Writes the report of the synthetic day to the file named on the command line, and its field sheet beside
// it, for the test in the browser.
#include <fstream>
#include <iostream>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/field_sheet.hpp"
#include "scheduler/report/report.hpp"
#include "tests/paths.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

int main(int argc, char** argv) {
    if (argc < 2) return 2;
    const ampturn::day::DayResult day = synthetic_day();
    std::ofstream(argv[1], std::ios::binary) << ampturn::report::report_html(day);
    const ampturn::plan::Plan plan =
        ampturn::plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    std::ofstream(argv[1] + std::string(".sheet.html"), std::ios::binary)
        << ampturn::report::field_sheet_html(plan, day);
    if (argc > 2)
        std::cout << ampturn::report::day_text(day, {argv[2] == std::string("colour")})
                  << ampturn::report::day_summary(day);
    return 0;
}
