#pragma once

#include <string>

namespace CLI {
class App;
}

namespace ampturn::base {

/// What is wrong with the text of a number on a command line, "" when nothing is: the checks a plan file makes
/// too. A number is decimal and finite, a whole one has digits only and fits 64 bits.
std::string fault_of_number(const std::string& text);
std::string fault_of_whole_number(const std::string& text);

/// Puts these checks on every option of the program and its commands that takes a number. Left to itself the
/// library takes nan and inf, takes -1 for the largest whole number, and cuts what does not fit.
void check_number_arguments(CLI::App& app);

}  // namespace ampturn::base
