#include "scheduler/plan/beside/file_beside.hpp"

#include <fmt/format.h>

#include <filesystem>

namespace ampturn::plan::beside {

std::string path_beside(const std::string& plan_path, const std::string& name) {
    return (std::filesystem::path(plan_path).parent_path() / name).string();
}

std::optional<Clash> missing_beside(const std::string& plan_path, const std::string& name,
                                    const std::string& key, const char* kind) {
    const std::string path = path_beside(plan_path, name);
    std::error_code failed;
    if (std::filesystem::exists(path, failed)) return std::nullopt;
    return Clash{key, fmt::format("\"{}\", which is not there", name),
                 fmt::format("{} beside the plan: {}", kind, path)};
}

}  // namespace ampturn::plan::beside
