#pragma once

namespace ampturn::cli::arguments {

/// What the process returns; the same for every command.
enum class ExitCode {
    fine = 0,
    plan_fails = 1,      // with --strict: the plan does not meet its own targets; a check missed
    bad_input = 2,       // a file or flag is wrong, or an output cannot be written
    internal_error = 3,  // a mistake in the program, or no memory left
};

}  // namespace ampturn::cli::arguments
