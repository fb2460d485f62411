#pragma once

#include <string>

namespace CLI {
class App;
}

namespace ampturn::program_help {

/// The line for a command line that could not be read: an unknown command or flag with the nearest there is, else `reason`; at
/// its end whose --help to see.
std::string misread_text(const CLI::App& app, int argc, char** argv, const std::string& reason);

}  // namespace ampturn::program_help
