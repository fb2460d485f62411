#pragma once

#include <optional>
#include <string>

namespace ampturn::plan::beside {

/// A key of the plan that does not go with the file it names.
struct Clash {
    std::string key, found, allowed;
};

/// Path of a file that a plan names: relative to the folder of the plan.
std::string path_beside(const std::string& plan_path, const std::string& name);

/// Where nothing is at that path. `kind`: "a CSV file".
std::optional<Clash> missing_beside(const std::string& plan_path, const std::string& name,
                                    const std::string& key, const char* kind);

}  // namespace ampturn::plan::beside
