#pragma once

#include <string>

#include "scheduler/sweep/table_files.hpp"

namespace ampturn::sweep {

/// A stored table for people: a line on the whole, then every step with frequency [Hz], dwell, ramp, settle
/// and gap [s], current [A peak of the fundamental], start in the sweep [s]. Steps that wait for a UTC mark
/// are marked; their waiting is not counted in the starts.
std::string table_text(const StoredTable& stored);

}  // namespace ampturn::sweep
