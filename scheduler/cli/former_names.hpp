#pragma once

#include <string>

namespace ampturn::cli {

/// What commands and flags of an earlier version are called now ("`lines` is called `frequencies` now; "); empty where none is
/// among the words.
std::string former_names_used(int argc, char** argv);

}  // namespace ampturn::cli
