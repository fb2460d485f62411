#pragma once

#include <string>

namespace ampturn::plan {

/// The text of a file to be written, and its name without a folder.
struct NamedText {
    std::string name, text;
};

}  // namespace ampturn::plan
