#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/station/result.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::rehearse {

struct CoverageOptions {
    std::uint64_t seed = 1;             // of the first day; the next ones follow
    int days = 100;                     // days of noise over the same transmissions, 1 or more
    unsigned threads = 1;               // do not change the result
    std::vector<std::string> stations;  // names; empty: all
    std::function<void()> day_done;
};

/// How far error bars hold: the same transmissions met by many days of noise, every line drawn from its distribution
/// (process/line_draw.hpp) and processed as a crew would.
struct CoverageRow {
    std::string name;       // of a station; empty for a frequency
    double frequency_hz;    // 0 for a station
    int mains_clash_order;  // 0: clear of the mains; a frequency that is not has no figures
    int measured;           // station, frequency and day
    station::Agreement agreement;
};
struct CoverageResult {
    std::string plan_path, plan_crc32, survey_name;
    bool invented;
    std::uint64_t seed;
    int days, stations;
    int steps_drawn, steps_synthesised;  // of all days
    station::Agreement whole;
    std::vector<CoverageRow> by_frequency, by_station;
};
/// Same plan, day and seed: same result, whatever the threads. The first day of seed s + 1 is the second of seed s. InputError
/// names an unknown station (as from --station).
CoverageResult coverage_study(const plan::Plan& plan, const setup::SurveySetup& setup,
                              const day::DayResult& day, const CoverageOptions& options);

}  // namespace ampturn::rehearse
