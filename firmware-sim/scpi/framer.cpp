#include "firmware-sim/scpi/framer.hpp"

#include <fmt/format.h>

#include <utility>

namespace ampturn::sim::scpi {

void Framer::take(char c) {
    switch (mode_) {
        case Mode::plain:
            if (c == '"' || c == '\'') {
                quote_ = c;
                mode_ = Mode::quote;
            } else if (c == '#') {
                mode_ = Mode::block_digits;
            }
            break;
        case Mode::quote:
            if (c == quote_) mode_ = Mode::plain;
            break;
        case Mode::block_digits:
            if (c >= '1' && c <= '9') {
                length_digits_ = c - '0';
                block_left_ = 0;
                mode_ = Mode::block_length;
            } else {
                mode_ = Mode::plain;  // #H, #Q, #B or nonsense: the lexer judges
            }
            break;
        case Mode::block_length:
            if (c < '0' || c > '9') {
                mode_ = Mode::plain;
            } else {
                block_left_ = block_left_ * 10 + static_cast<std::uint64_t>(c - '0');
                if (--length_digits_ == 0) mode_ = block_left_ == 0 ? Mode::plain : Mode::block_bytes;
            }
            break;
        case Mode::block_bytes:
            if (--block_left_ == 0) mode_ = Mode::plain;
            break;
        case Mode::discard:
            break;
    }
}

std::optional<Framer::Frame> Framer::next() {
    while (at_ < pending_.size()) {
        const char c = pending_[at_++];
        // A newline ends the message in every mode but inside the bytes of a block.
        if (c == '\n' && mode_ != Mode::block_bytes) {
            Frame frame;
            if (mode_ == Mode::discard) {
                frame.overrun = Error{ErrorCode::input_buffer_overrun,
                                      fmt::format("a message may have {} bytes", message_bytes_max)};
            } else {
                frame.message = std::exchange(held_, {});
            }
            held_.clear();
            mode_ = Mode::plain;
            return frame;
        }
        if (mode_ == Mode::discard) continue;
        if (held_.size() == message_bytes_max) {
            held_.clear();
            mode_ = Mode::discard;
            continue;
        }
        held_ += c;
        take(c);
        if (mode_ == Mode::block_bytes && block_left_ > message_bytes_max) {
            held_.clear();  // can never fit: give up at once
            mode_ = Mode::discard;
        }
    }
    pending_.clear();
    at_ = 0;
    return std::nullopt;
}

}  // namespace ampturn::sim::scpi
