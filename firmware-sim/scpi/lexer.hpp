#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware-sim/scpi/errors.hpp"

namespace ampturn::sim::scpi {

/// One element of program data (IEEE 488.2-1992, 7.7).
struct Datum {
    enum class Kind {
        number,      // 1.5, -2E3, 800 MA, #HFF: value in `number`, suffix (upper case) in `text`
        word,        // character data such as MAX, upper case in `text`
        string,      // '...' or "...", unquoted in `text`
        block,       // #<digits><length><bytes>, the bytes in `text`
        expression,  // (...), the inside in `text`
    };
    Kind kind = Kind::word;
    double number = 0;
    std::string text;
};

/// One program message unit: a header and its data.
struct Command {
    std::vector<std::string> header;  // mnemonics in upper case; for *IDN? the one word "*IDN"
    bool common = false;              // *XXX
    bool from_root = false;           // header written with a leading colon
    bool query = false;
    std::vector<Datum> data;
};

/// What was read of a message: units up to the first error, and that error.
struct Message {
    std::vector<Command> commands;
    std::optional<Error> error;
};

inline constexpr std::size_t mnemonic_length_max = 12;     // IEEE 488.2, 7.6.1.4.1
inline constexpr std::size_t suffix_length_max = 12;       // IEEE 488.2, 7.7.3
inline constexpr std::size_t number_digits_max = 255;      // IEEE 488.2, 7.7.2.4.1
inline constexpr int number_exponent_max = 32000;          // IEEE 488.2, 7.7.2.4.1
inline constexpr std::size_t units_per_message_max = 256;  // ours: bounds the work of one line

/// Reads one program message (without its newline; newlines inside a block are data). Never throws, never
/// reads outside `bytes`, takes time linear in their number.
Message lex(std::string_view bytes);

}  // namespace ampturn::sim::scpi
