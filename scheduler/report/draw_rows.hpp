#pragma once

#include <string>
#include <vector>

#include "scheduler/base/part_range.hpp"
#include "scheduler/day/monte_carlo.hpp"
#include "scheduler/tune/day_inputs.hpp"

namespace ampturn::report {

/// A part of many runs, as a file of JSON lines: the first says of what, then a row a run. Numbers are written so that they read back
/// to the bit.
struct DrawsHead {
    tune::DayInputs inputs;
    base::PartRange range;
};
std::string draws_head_line(const DrawsHead& head);
std::string draw_line(int run, const day::DayDraw& draw);

struct DrawsPart {
    DrawsHead head;
    std::vector<day::DayDraw> draws;  // the head's first and on; fewer than its count where the part died
};
/// InputError, with the line, for a text that is no such part, or of another version of the program.
DrawsPart read_draws(const std::string& text, const std::string& file);

/// All runs 0, 1 and so on of parts read from `files`. InputError where the parts are not of the same plan, words and seed, hold a
/// run twice, or leave one out: it names the part that is short, or the runs that none holds. `runs` wanted, 0: as many as
/// the parts were to hold.
std::vector<day::DayDraw> merged_draws(std::vector<DrawsPart> parts, const std::vector<std::string>& files,
                                       int runs);

}  // namespace ampturn::report
