#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace ampturn::plan::tree {

/// What a key of an earlier version is called now; nothing when there never was one of that name. For the error that
/// such a key gets: no old spelling is read. Tables are without index: "stand", not "stand[1]".
std::optional<std::string_view> name_now(std::string_view former);

}  // namespace ampturn::plan::tree
