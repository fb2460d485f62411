#pragma once

namespace ampturn::core {

/// Ends the program after a broken precondition. The default stops the processor (trap). A port overrides it
/// with a strong definition that first takes the power stage's drive away by hardware.
[[noreturn]] void halt();

}  // namespace ampturn::core

/// A bug of ours, not of the world: checked in every build.
#define AMPTURN_CHECK(condition)                   \
    do {                                           \
        if (!(condition)) ::ampturn::core::halt(); \
    } while (false)
