#pragma once

namespace ampturn::base {

/// "ampturn: no memory left" on standard error, taking none.
void say_no_memory(const char* program);

/// Memory that fails while something is let go (a tree of JSON takes some for that) cannot be thrown on: from here on the program
/// then says so and ends at once with that exit code. The name outlives it.
void end_at_once_without_memory(const char* program, int exit_code);

}  // namespace ampturn::base
