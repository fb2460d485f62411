#pragma once

#include <string>

namespace ampturn::cli {

/// Where a command line that could not be read uses a command or flag of an earlier version: "`lines` is called
/// `frequencies` now; ". Empty otherwise.
std::string former_names_used(int argc, char** argv);

}  // namespace ampturn::cli
