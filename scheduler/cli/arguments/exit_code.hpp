#pragma once

#include "scheduler/base/run_program.hpp"

namespace ampturn::cli::arguments {

/// What the process returns; the same for every command.
enum class ExitCode {
    fine = 0,
    plan_fails = 1,  // with --strict: the plan does not meet its own targets; a check missed
    bad_input = base::exit_bad_input,            // a file or flag is wrong, or an output cannot be written
    internal_error = base::exit_internal_error,  // a mistake in the program, or no memory left
};

}  // namespace ampturn::cli::arguments
