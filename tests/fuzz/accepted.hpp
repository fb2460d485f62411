#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "scheduler/base/input_error.hpp"

namespace ampturn::fuzz {

/// What has to hold whatever the input; libFuzzer takes an abort for a find.
inline void must(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "does not hold: %s\n", what);
    std::abort();
}

/// One problem or more, each of them one line that a terminal can show.
inline void must_be_one_line_each(const base::InputError& error) {
    must(!error.problems().empty(), "an error has a problem");
    for (const base::InputProblem& problem : error.problems()) {
        const std::string line = text_of(problem);
        must(!line.empty() && line.size() < 2000, "a problem is a line that can be read");
        for (const char c : line)
            must(static_cast<unsigned char>(c) >= 0x20 && c != 0x7f, "a problem has no control characters");
    }
}

/// Whether `read` takes its input. It may refuse it by an InputError; anything else that is thrown ends the run.
template <class Read>
bool accepted(Read&& read) {
    try {
        read();
        return true;
    } catch (const base::InputError& error) {
        must_be_one_line_each(error);
        return false;
    }
}

inline std::string_view text_of_bytes(const std::uint8_t* bytes, std::size_t size) {
    return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace ampturn::fuzz
