#pragma once

#include <string>

#include "scheduler/new_plan/answers.hpp"

namespace ampturn::new_plan {

/// The TOML of a plan that these answers make, each value with a comment where its question was not answered; the plan says in
/// survey.notes that it was made by answers. Frequencies lie on the receiver's bins, clear of the mains
/// (model/receiver/line_placement.hpp). It was loaded and set up before it is returned. InputError, naming questions,
/// when the answers make no plan.
std::string plan_text(const GivenAnswers& given);

}  // namespace ampturn::new_plan
