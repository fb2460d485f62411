#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "scheduler/field_request/ground_list.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/reach/reach.hpp"

namespace ampturn::reach {

/// A plan's reach over each ground of a list, or of a part of one, as JSON lines. The first line says of what: plan, settings, options,
/// list, and what no ground changes (sectors, dwells, moments). Then a row a ground, with what reach_text() prints: per frequency the
/// windows in all directions and what would open one, the usable ones of each sector, and the stations in theirs.

/// What decides the rows besides the plan as it was read.
struct GroundRowsSource {
    std::string plan_text;
    std::vector<std::string> settings;  // KEY=VALUE
};

/// Computes in order and hands out whole lines. They do not depend on options.threads. `advance` is called a ground. InputError as from
/// reach_of().
void write_ground_rows(const plan::Plan& plan, const GroundRowsSource& source,
                       const field_request::GroundList& list, const ReachOptions& options,
                       const std::function<void(std::string_view)>& out,
                       const std::function<void()>& advance);

/// In the first line of a file of rows.
inline constexpr const char* ground_rows_schema = "ampturn.reach_rows";

/// Puts parts of one list together in `out`, the bytes of one run over the whole list. InputError, naming the file and the grounds, for
/// a part that is missing, ended early, is there twice, or is of another plan, list, options or version.
void merge_ground_rows(const std::vector<std::string>& files, const std::string& out);

}  // namespace ampturn::reach
