#pragma once

#include <functional>
#include <string>

namespace ampturn::base {

inline constexpr int exit_bad_input = 2, exit_internal_error = 3;

/// What a program does, in `work`, and its exit code: that of `work`, or with a line for `say`: exit_bad_input for an InputError
/// (40 lines at most) and where standard output cannot be written, exit_internal_error for whatever else is thrown. Without memory it
/// says so too. The name outlives it.
int run_program(const char* name, const std::function<int()>& work,
                const std::function<void(const std::string&)>& say);

}  // namespace ampturn::base
