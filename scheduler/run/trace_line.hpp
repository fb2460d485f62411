#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace ampturn::run {

/// One line of words and integers, put together without heap or locale; what does not fit 160 bytes is a bug.
class TraceLine {
  public:
    TraceLine& word(std::string_view text) {
        if (length_ > 0) put(' ');
        for (const char c : text) put(c);
        return *this;
    }
    TraceLine& number(std::uint64_t value) {
        std::array<char, 20> digits{};
        std::size_t count = 0;
        do {
            digits[count++] = static_cast<char>('0' + value % 10);
            value /= 10;
        } while (value > 0);
        if (length_ > 0) put(' ');
        while (count > 0) put(digits[--count]);
        return *this;
    }
    TraceLine& number(std::int32_t value) {
        if (value >= 0) return number(static_cast<std::uint64_t>(value));
        TraceLine size;
        size.number(static_cast<std::uint64_t>(-static_cast<std::int64_t>(value)));
        word("-");
        for (const char c : size.text()) put(c);
        return *this;
    }
    std::string_view text() const { return {bytes_.data(), length_}; }

  private:
    void put(char c) {
        if (length_ < bytes_.size()) bytes_[length_++] = c;
    }
    std::array<char, 160> bytes_{};
    std::size_t length_ = 0;
};

}  // namespace ampturn::run
