#pragma once

#include <string>

namespace CLI {
class App;
}

namespace ampturn::cli {

/// The line for a command line that could not be read: a command or flag of an earlier version by its name now ("`lines` is
/// called `frequencies` now"), an unknown one with the nearest there is, else `reason`; at its end whose --help to see.
std::string misread_text(const CLI::App& app, int argc, char** argv, const std::string& reason);

}  // namespace ampturn::cli
