#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::tune {

/// A tuned plan as a file: the text it was made from, with every comment, but for the tables that differ.
struct NewPlanText {
    std::string text;
    bool comments_kept;  // false: the source is laid out so that its tables cannot be told apart
};

/// `plan` was read from `source` and changed in `changed_tables` only ("sweep", and the tables of each --set).
/// Those are written anew, after their own comments; all else stays as it stands. What comes out reads back as
/// `plan`: where it would not, the whole plan is written without comments.
NewPlanText new_plan_text(const plan::Plan& plan, std::string_view source,
                          const std::vector<std::string>& changed_tables);

}  // namespace ampturn::tune
