#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "scheduler/rehearse/coverage.hpp"

namespace ampturn::rehearse {

/// A coverage study as JSON: units end the keys, numbers to nine significant digits, what there is no number of is null.
/// "schema": "ampturn.coverage", "schema_version": 1.
std::string coverage_json_text(const CoverageResult& result);
/// CSV: a row for all together, for each frequency and for each station.
std::string coverage_csv(const CoverageResult& result);
/// Some lines and a table for a terminal.
std::string coverage_text(const CoverageResult& result);
/// One self-contained page.
std::string coverage_html(const CoverageResult& result);

}  // namespace ampturn::rehearse
