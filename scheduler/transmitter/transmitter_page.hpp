#pragma once

#include <string>

#include "scheduler/plan/plan.hpp"
#include "scheduler/transmitter/transmitter_sheet.hpp"

namespace ampturn::transmitter {

/// Self-contained pages with charts, like the day's report. The sheet is one with curves.
std::string transmitter_page(const plan::Plan& plan, const TransmitterSheet& sheet);
std::string variation_page(const plan::Plan& plan, const Variation& variation);

}  // namespace ampturn::transmitter
