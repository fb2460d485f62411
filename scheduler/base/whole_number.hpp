#pragma once

#include <CLI/Validators.hpp>
#include <string>

namespace ampturn::base {

/// Digits only. Left to itself the library takes -1 for the largest whole number.
inline CLI::Validator whole_number() {
    return {[](const std::string& text) {
                const bool digits = text.find_first_not_of("0123456789") == std::string::npos;
                return digits ? std::string() : "found " + text + ", allowed a whole number, 0 or more";
            },
            ""};
}

}  // namespace ampturn::base
