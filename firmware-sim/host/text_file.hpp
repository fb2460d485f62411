#pragma once

#include <string>

namespace ampturn::sim {

/// The bytes of a file a person named; plan::InputError saying what was wanted when it cannot be read.
std::string read_text_file(const std::string& path, const char* wanted);

}  // namespace ampturn::sim
