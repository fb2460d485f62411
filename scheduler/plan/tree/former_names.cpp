#include "scheduler/plan/tree/former_names.hpp"

#include <utility>

namespace ampturn::plan::tree {

std::optional<std::string_view> name_now(std::string_view former) {
    static constexpr std::pair<std::string_view, std::string_view> names[] = {
        {"stand", "site"},
        {"health_fraction", "state_of_health"},
        {"near_bias_percent", "near_field_bias_percent"},
    };
    for (const auto& [then, now] : names)
        if (then == former) return now;
    return std::nullopt;
}

}  // namespace ampturn::plan::tree
