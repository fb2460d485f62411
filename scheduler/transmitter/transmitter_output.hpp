#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "scheduler/plan/plan.hpp"
#include "scheduler/transmitter/transmitter_sheet.hpp"

/// A transmitter sheet, and one of a varied key, for people and programs; text is made in transmitter_text.cpp.
namespace ampturn::transmitter {

/// For a terminal: tables of the steps, then remarks and cautions.
std::string transmitter_text(const plan::Plan& plan, const TransmitterSheet& sheet, bool colour);
/// All of the sheet; what is not finite or has no value is null.
nlohmann::json transmitter_json(const plan::Plan& plan, const TransmitterSheet& sheet);
/// Two rows a step: as the table has it, and the most within the limits.
std::string transmitter_csv(const TransmitterSheet& sheet);
/// A row a tap and frequency of the curves; without them (transmitter_sheet_of) the header alone.
std::string transmitter_curves_csv(const TransmitterSheet& sheet);

std::string variation_text(const plan::Plan& plan, const Variation& variation);
nlohmann::json variation_json(const plan::Plan& plan, const Variation& variation);
/// Two rows a value and step.
std::string variation_csv(const Variation& variation);

}  // namespace ampturn::transmitter
