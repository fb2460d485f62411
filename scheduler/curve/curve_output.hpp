#pragma once

#include <string>

#include "scheduler/curve/curve.hpp"

/// A curve for people and programs; EDI files: edi.hpp. The chart's body is in curve_svg.cpp.
namespace ampturn::curve {

std::string curve_text(const Curve& curve);  // a table a station, for a terminal
std::string curve_csv(const Curve& curve);   // one row a station and frequency
std::string curve_json_text(const Curve& curve);
std::string curve_svg(const Curve& curve);  // a chart: apparent resistivity and phase of each station

/// "far field", "transition" or "near field": what the bias makes of a reading.
std::string name_of(model::ground::Zone zone);

}  // namespace ampturn::curve
