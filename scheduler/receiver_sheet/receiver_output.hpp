#pragma once

#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/receiver_sheet/receiver_schedule.hpp"

namespace ampturn::receiver_sheet {

/// A crew's page to print (A4 and Letter), no script, no other file: stations with their times, every step in UTC with what
/// is to arrive, gain, what to look at on the first record, what a slow clock costs, cautions.
std::string receiver_page(const plan::Plan& plan, const day::DayResult& day, const CrewSchedule& crew);

/// schedule.csv and schedule.json, the project's own open layout (docs/receiver_schedule.md), all crews in one; and a page a
/// crew, receiver_1.html and on.
std::vector<base::NamedText> receiver_files(const plan::Plan& plan, const day::DayResult& day,
                                            const std::vector<CrewSchedule>& crews);

}  // namespace ampturn::receiver_sheet
