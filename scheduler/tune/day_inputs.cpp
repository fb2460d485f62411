#include "scheduler/tune/day_inputs.hpp"

#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/tune/make_it_go.hpp"

namespace ampturn::tune {

namespace {

/// "09:30" as seconds after midnight.
double seconds_of_clock(const std::string& text) {
    int hours = 0, minutes = 0;
    char rest = 0;
    if (std::sscanf(text.c_str(), "%2d:%2d%c", &hours, &minutes, &rest) != 2 || hours < 0 || hours > 23 ||
        minutes < 0 || minutes > 59)
        throw base::InputError(base::InputProblem{
            .file = "--start", .found = "\"" + text + "\"", .allowed = "a local time hh:mm, 00:00 to 23:59"});
    return 3600.0 * hours + 60.0 * minutes;
}

}  // namespace

day::Overrides overrides_of(const DayInputs& inputs) {
    return {.start_s = inputs.start.empty() ? std::nullopt : std::optional(seconds_of_clock(inputs.start)),
            .temperature_c = inputs.temperature_c,
            .batteries = inputs.batteries};
}

plan::Plan given_plan_of(const DayInputs& inputs) {
    std::vector<plan::file::Setting> settings;
    for (const std::string& setting : inputs.settings) settings.push_back(plan::file::parse_setting(setting));
    return plan::file::parse_plan(inputs.plan_text, base::shown_path(inputs.plan_path), settings);
}

plan::Plan plan_of(const DayInputs& inputs) {
    return without_stations(day::apply(given_plan_of(inputs), overrides_of(inputs)), inputs.without);
}

}  // namespace ampturn::tune
