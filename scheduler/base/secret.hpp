#pragma once

#include <string>
#include <string_view>

namespace ampturn::base {

/// Equal in a time that does not depend on where they differ.
bool same_secret(std::string_view a, std::string_view b);
/// 32 hexadecimal digits from the system's random source.
std::string new_token();

}  // namespace ampturn::base
