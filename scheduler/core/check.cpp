#include "scheduler/core/check.hpp"

namespace ampturn::core {

[[gnu::weak]] void halt() { __builtin_trap(); }

}  // namespace ampturn::core
