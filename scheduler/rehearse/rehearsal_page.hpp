#pragma once

#include <string>

#include "scheduler/rehearse/station/result.hpp"

namespace ampturn::rehearse {

/// The rehearsal as one self-contained HTML page, in the look of the day's report: the answer in a sentence,
/// curves with bars, spectra, inverted sections against the truth, information by frequency; numbers as
/// tables below. No other file, no request to any network. Same result, same bytes.
std::string rehearsal_html(const station::RehearsalResult& result);

}  // namespace ampturn::rehearse
