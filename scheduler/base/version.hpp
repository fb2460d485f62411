#pragma once

#include <string_view>

namespace ampturn::base {

/// Version of the project, for example "0.1.0".
std::string_view version();
/// Short hash of the commit built, with "-changed" behind it if the tree had
/// uncommitted changes; "unknown" outside git.
std::string_view git_hash();

}  // namespace ampturn::base
