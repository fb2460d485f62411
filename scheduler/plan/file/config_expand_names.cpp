#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "scheduler/plan/file/config_expand.hpp"

namespace ampturn::plan::file {

std::optional<int> index_of_name(const std::string& name, const std::vector<std::string>& names,
                                 const std::string& key, const char* what, Refusals& refusals) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found != names.end()) return static_cast<int>(std::distance(names.begin(), found));
    const auto nearest = nearest_name(name, names);
    refusals.add(key, fmt::format("\"{}\"", name),
                 nearest         ? fmt::format("{}, for example \"{}\"", what, *nearest)
                 : names.empty() ? fmt::format("{}; the plan has none", what)
                                 : fmt::format("{}: \"{}\"", what, fmt::join(names, "\", \"")));
    return std::nullopt;
}

}  // namespace ampturn::plan::file
