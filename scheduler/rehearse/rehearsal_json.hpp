#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/rehearse/station/result.hpp"

namespace ampturn::rehearse {

/// A rehearsal as JSON: units end the keys, numbers to nine significant digits, what is not finite is null.
/// "schema": "ampturn.rehearsal", "schema_version": 1.
nlohmann::ordered_json rehearsal_json(const station::RehearsalResult& result);
std::string rehearsal_json_text(const station::RehearsalResult& result);

/// CSV tables with units in the column names: curves.csv (lines), natural.csv (bands beside the lines),
/// spectra.csv, sections.csv, information.csv (of the question; only when one is asked).
std::vector<base::NamedText> rehearsal_tables(const station::RehearsalResult& result);

/// About fifteen lines for a terminal.
std::string rehearsal_text(const station::RehearsalResult& result);

}  // namespace ampturn::rehearse
