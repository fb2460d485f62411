#pragma once

#include <string>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan::beside {

/// Reads a measured or assumed density of the natural field: CSV, header "frequency_hz,b_pt_per_rthz", lines
/// that start with '#' and empty lines skipped, frequencies rising and above 0, densities above 0.
/// InputError naming file, line and column otherwise.
NaturalSpectrum read_natural_spectrum(const std::string& path);
/// The same from text; `path` names it in messages.
NaturalSpectrum natural_spectrum_of(const std::string& csv, const std::string& path);

}  // namespace ampturn::plan::beside
