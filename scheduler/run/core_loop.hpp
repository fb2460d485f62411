#pragma once

#include "model/loop/loop_selection.hpp"
#include "scheduler/core/table.hpp"

namespace ampturn::run {

/// The border of the firmware's core, which depends on nothing and so has its own enum for loops.
constexpr core::Loop core_loop(model::loop::LoopSelection loop) {
    switch (loop) {
        case model::loop::LoopSelection::a:
            return core::Loop::a;
        case model::loop::LoopSelection::b:
            return core::Loop::b;
        case model::loop::LoopSelection::both:
            return core::Loop::both_in_quadrature;
    }
    return core::Loop::none;
}

/// `none`, every relay open, feeds nothing: it counts as loop A, whose current is then zero.
constexpr model::loop::LoopSelection loop_of(core::Loop loop) {
    switch (loop) {
        case core::Loop::none:
        case core::Loop::a:
            return model::loop::LoopSelection::a;
        case core::Loop::b:
            return model::loop::LoopSelection::b;
        case core::Loop::both_in_quadrature:
            return model::loop::LoopSelection::both;
    }
    return model::loop::LoopSelection::a;
}

}  // namespace ampturn::run
