#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "firmware-sim/scpi/errors.hpp"

namespace ampturn::sim::scpi {

/// Cuts a byte stream into program messages: a newline ends one, except inside a definite-length block
/// (#<digits><length><bytes>), whose bytes may be newlines. Quoted strings hide a '#'. A carriage return
/// before the newline is white space and stays. Holds at most `message_bytes_max` bytes: a longer message is
/// thrown away up to its newline and reported once as -363.
class Framer {
  public:
    static constexpr std::size_t message_bytes_max = 16'384;

    struct Frame {
        std::string message;           // without its newline
        std::optional<Error> overrun;  // set instead of a message that was too long
    };

    /// Adds bytes from the line; call next() until it is empty before feeding more.
    void feed(std::string_view bytes) { pending_ += bytes; }
    std::optional<Frame> next();
    /// Bytes held of a message that has no newline yet.
    std::size_t held() const { return held_.size() + (pending_.size() - at_); }

  private:
    enum class Mode { plain, quote, block_digits, block_length, block_bytes, discard };
    void take(char c);

    std::string pending_;
    std::size_t at_ = 0;
    std::string held_;
    Mode mode_ = Mode::plain;
    char quote_ = 0;
    int length_digits_ = 0;
    std::uint64_t block_left_ = 0;
};

}  // namespace ampturn::sim::scpi
