#pragma once

#include <array>
#include <cstddef>

namespace ampturn::model::loop {

/// Which of the transmitter's two loops, or both at once in quadrature, B a quarter period behind A. The one
/// enum for it; only the firmware's core keeps its own (scheduler/run/core_loop.hpp).
enum class LoopSelection { a, b, both };

inline constexpr std::array each_loop{LoopSelection::a, LoopSelection::b};

/// Place of a loop in lists of both: 0 or 1; that of loop A for `both`.
constexpr std::size_t index_of(LoopSelection loop) { return loop == LoopSelection::b ? 1 : 0; }

/// The other of two loops; that of `both` as index_of has it.
constexpr LoopSelection other_of(LoopSelection loop) {
    return loop == LoopSelection::b ? LoopSelection::a : LoopSelection::b;
}

/// Whether a selection sends with this loop, a or b.
constexpr bool feeds(LoopSelection selection, LoopSelection loop) {
    return selection == loop || selection == LoopSelection::both;
}

/// "A", "B", "A+B".
constexpr const char* name_of(LoopSelection loop) {
    switch (loop) {
        case LoopSelection::a:
            return "A";
        case LoopSelection::b:
            return "B";
        case LoopSelection::both:
            return "A+B";
    }
    return "?";
}

}  // namespace ampturn::model::loop
