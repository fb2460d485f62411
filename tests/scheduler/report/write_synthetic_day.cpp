// Writes the report of the synthetic day to the file named on the command line, and beside it its field
// sheet, one of 128 steps, and the report of a day of 200 stations and 30 frequencies, for the test in the browser.
#include <fstream>
#include <iostream>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/report/day_text.hpp"
#include "scheduler/report/report.hpp"
#include "scheduler/sheet/field_sheet.hpp"
#include "tests/paths.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace {

// The synthetic day as one of many stations and frequencies: the same readings again and again.
ampturn::day::DayResult large_day(int stations, int frequencies) {
    const ampturn::day::DayResult small = synthetic_day();
    ampturn::day::DayResult day = small;
    const int few = static_cast<int>(small.stations.size()),
              narrow = static_cast<int>(small.frequencies_hz.size());
    for (int s = few; s < stations; ++s) {
        day.stations.push_back(small.stations[static_cast<std::size_t>(s % few)]);
        day.stations.back().name = "S" + std::to_string(s + 1);
        day.stations.back().x_m += 40.0 * (s / few);
    }
    for (int f = narrow; f < frequencies; ++f) day.frequencies_hz.push_back(100.0 - f);
    for (int s = 0; s < stations; ++s)
        for (int f = 0; f < frequencies; ++f) {
            if (s < few && f < narrow) continue;
            for (const ampturn::reading::Reading& like : small.readings)
                if (like.station_index == s % few && like.frequency_index == f % narrow) {
                    day.readings.push_back(like);
                    day.readings.back().station_index = s;
                    day.readings.back().frequency_index = f;
                    day.readings.back().frequency_hz = day.frequencies_hz[static_cast<std::size_t>(f)];
                }
        }
    return day;
}

ampturn::day::DayResult with_steps(ampturn::day::DayResult day, int steps) {
    while (static_cast<int>(day.table.size()) < steps) {
        day.table.push_back(day.table[day.table.size() % 7]);
        day.table.back().step_number = static_cast<int>(day.table.size());
    }
    return day;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2) return 2;
    const ampturn::day::DayResult day = synthetic_day();
    std::ofstream(argv[1], std::ios::binary) << ampturn::report::report_html(day);
    std::ofstream(argv[1] + std::string(".large.html"), std::ios::binary)
        << ampturn::report::report_html(large_day(200, 30));
    const ampturn::plan::Plan plan =
        ampturn::plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"));
    std::ofstream(argv[1] + std::string(".sheet.html"), std::ios::binary)
        << ampturn::sheet::field_sheet_html(plan, day);
    std::ofstream(argv[1] + std::string(".large.sheet.html"), std::ios::binary)
        << ampturn::sheet::field_sheet_html(plan, with_steps(day, 128));
    if (argc > 2)
        std::cout << ampturn::report::day_text(day, {argv[2] == std::string("colour")})
                  << ampturn::report::day_summary(day);
    return 0;
}
