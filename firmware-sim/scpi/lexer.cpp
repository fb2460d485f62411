#include "firmware-sim/scpi/lexer.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::scpi {
namespace {

bool is_white(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte <= 32 && byte != '\n';  // IEEE 488.2, 7.4.1.2: all of 0-9 and 11-32
}
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z'); }
bool is_word(char c) { return is_letter(c) || is_digit(c) || c == '_'; }
char upper(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

std::string shown(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte > 32 && byte < 127 ? fmt::format("'{}'", c) : fmt::format("byte 0x{:02X}", byte);
}

class Lexer {
  public:
    explicit Lexer(std::string_view bytes) : bytes_(bytes) {}

    Message read() {
        while (true) {
            skip_white();
            if (at_end()) break;
            if (peek() == ';') {  // empty unit, as in "*CLS;;*OPC"
                ++at_;
                continue;
            }
            if (message_.commands.size() == units_per_message_max) {
                fail(ErrorCode::too_much_data, fmt::format("more than {} units", units_per_message_max));
                break;
            }
            Command command;
            if (!header(command) || !all_data(command)) break;
            message_.commands.push_back(std::move(command));
        }
        return std::move(message_);
    }

  private:
    bool at_end() const { return at_ >= bytes_.size(); }
    char peek() const { return bytes_[at_]; }
    void skip_white() {
        while (!at_end() && is_white(peek())) ++at_;
    }
    bool fail(ErrorCode code, std::string detail) {
        message_.error = Error{code, std::move(detail)};
        return false;
    }
    bool bad_character(std::string_view where) {
        const auto byte = static_cast<unsigned char>(peek());
        const ErrorCode code =
            byte >= 127 || byte < 32 ? ErrorCode::invalid_character : ErrorCode::syntax_error;
        return fail(code, fmt::format("{} {} at column {}", shown(peek()), where, at_ + 1));
    }

    bool mnemonic(std::string& word) {
        if (at_end() || !is_letter(peek())) {
            return at_end() ? fail(ErrorCode::syntax_error, "header ends early")
                            : bad_character("in a header");
        }
        while (!at_end() && is_word(peek())) {
            if (word.size() == mnemonic_length_max) {
                return fail(ErrorCode::mnemonic_too_long, fmt::format("{}...", word));
            }
            word += upper(bytes_[at_++]);
        }
        return true;
    }

    bool header(Command& command) {
        if (peek() == '*') {
            ++at_;
            std::string word;
            if (!mnemonic(word)) return false;
            command.common = true;
            command.header.push_back("*" + word);
        } else {
            if (peek() == ':') {
                ++at_;
                command.from_root = true;
            }
            while (true) {
                std::string word;
                if (!mnemonic(word)) return false;
                command.header.push_back(std::move(word));
                if (at_end() || peek() != ':') break;
                if (command.header.size() == 16)
                    return fail(ErrorCode::undefined_header, "more than 16 levels");
                ++at_;
            }
        }
        if (!at_end() && peek() == '?') {
            ++at_;
            command.query = true;
        }
        if (!at_end() && !is_white(peek()) && peek() != ';') {
            if (is_word(peek()) || peek() == ',') {
                return fail(ErrorCode::header_separator_error,
                            fmt::format("{} after a header", shown(peek())));
            }
            return bad_character("after a header");
        }
        return true;
    }

    bool all_data(Command& command) {
        skip_white();
        if (at_end() || peek() == ';') return true;
        while (true) {
            Datum datum;
            if (!one_datum(datum)) return false;
            command.data.push_back(std::move(datum));
            skip_white();
            if (at_end() || peek() == ';') return true;
            if (peek() != ',') {
                return fail(
                    ErrorCode::invalid_separator,
                    fmt::format("{} at column {} where ',' or ';' may stand", shown(peek()), at_ + 1));
            }
            ++at_;
            skip_white();
            if (at_end() || peek() == ';') return fail(ErrorCode::missing_parameter, "nothing after ','");
        }
    }

    bool one_datum(Datum& datum) {
        const char c = peek();
        if (is_digit(c) || c == '+' || c == '-' || c == '.') return decimal(datum);
        if (is_letter(c)) return word(datum);
        if (c == '"' || c == '\'') return string(datum);
        if (c == '(') return expression(datum);
        if (c == '#') return hash(datum);
        return bad_character("in data");
    }

    bool decimal(Datum& datum) {
        std::string digits;
        if (peek() == '+' || peek() == '-') {
            if (peek() == '-') digits = "-";
            ++at_;
        }
        const std::size_t sign = digits.size();
        std::size_t mantissa = 0;
        bool point = false;
        while (!at_end() && (is_digit(peek()) || (peek() == '.' && !point))) {
            point = point || peek() == '.';
            if (is_digit(peek()) && ++mantissa > number_digits_max) {
                return fail(ErrorCode::too_many_digits,
                            fmt::format("more than {} digits", number_digits_max));
            }
            digits += bytes_[at_++];
        }
        if (mantissa == 0) {
            return at_end() ? fail(ErrorCode::invalid_character_in_number, "no digits")
                            : fail(ErrorCode::invalid_character_in_number, shown(peek()));
        }
        if (digits[sign] == '.') digits.insert(sign, "0");
        if (!exponent(digits)) return false;
        // Too small becomes 0 by IEEE 488.2, 7.7.2.4; too large is refused.
        const std::optional<double> value = base::number_in(digits);
        if (!value) return fail(ErrorCode::exponent_too_large, "number does not fit");
        datum.kind = Datum::Kind::number;
        datum.number = *value;
        return suffix(datum);
    }

    // "1.5E3" and "1.5 E3" are exponents; "1.5 EX" is a suffix.
    bool exponent(std::string& digits) {
        std::size_t look = at_;
        while (look < bytes_.size() && is_white(bytes_[look])) ++look;
        if (look >= bytes_.size() || upper(bytes_[look]) != 'E') return true;
        ++look;
        while (look < bytes_.size() && is_white(bytes_[look])) ++look;
        bool negative = false;
        if (look < bytes_.size() && (bytes_[look] == '+' || bytes_[look] == '-')) {
            negative = bytes_[look] == '-';
            ++look;
        }
        if (look >= bytes_.size() || !is_digit(bytes_[look])) return true;
        int power = 0;
        while (look < bytes_.size() && is_digit(bytes_[look])) {
            power = power * 10 + (bytes_[look++] - '0');
            if (power > number_exponent_max) {
                return fail(ErrorCode::exponent_too_large, fmt::format("beyond {}", number_exponent_max));
            }
        }
        at_ = look;
        digits += fmt::format("e{}{}", negative ? "-" : "+", power);
        return true;
    }

    bool suffix(Datum& datum) {
        std::size_t look = at_;
        while (look < bytes_.size() && is_white(bytes_[look])) ++look;
        if (look >= bytes_.size() || !(is_letter(bytes_[look]) || bytes_[look] == '/')) return true;
        at_ = look;
        while (!at_end() &&
               (is_letter(peek()) || is_digit(peek()) || peek() == '/' || peek() == '.' || peek() == '-')) {
            if (datum.text.size() == suffix_length_max) {
                return fail(ErrorCode::suffix_too_long, fmt::format("{}...", datum.text));
            }
            datum.text += upper(bytes_[at_++]);
        }
        return true;
    }

    bool word(Datum& datum) {
        datum.kind = Datum::Kind::word;
        while (!at_end() && is_word(peek())) {
            if (datum.text.size() == mnemonic_length_max) {
                return fail(ErrorCode::character_data_too_long, fmt::format("{}...", datum.text));
            }
            datum.text += upper(bytes_[at_++]);
        }
        return true;
    }

    bool string(Datum& datum) {
        datum.kind = Datum::Kind::string;
        const char quote = bytes_[at_++];
        while (true) {
            if (at_end()) return fail(ErrorCode::invalid_string_data, "no closing quote");
            const char c = bytes_[at_++];
            if (c == quote) {
                if (at_end() || peek() != quote) return true;
                ++at_;
            }
            if (static_cast<unsigned char>(c) > 126) {
                return fail(ErrorCode::invalid_string_data, fmt::format("{} in a string", shown(c)));
            }
            datum.text += c;
        }
    }

    bool expression(Datum& datum) {
        datum.kind = Datum::Kind::expression;
        ++at_;
        int depth = 1;
        while (!at_end()) {
            const char c = bytes_[at_++];
            if (c == '(') ++depth;
            if (c == ')' && --depth == 0) return true;
            if (static_cast<unsigned char>(c) < 32 || static_cast<unsigned char>(c) > 126 || c == ';') {
                return fail(ErrorCode::invalid_expression, shown(c));
            }
            datum.text += c;
        }
        return fail(ErrorCode::invalid_expression, "no closing parenthesis");
    }

    bool hash(Datum& datum) {
        ++at_;
        if (at_end()) return fail(ErrorCode::invalid_block_data, "nothing after '#'");
        const char kind = upper(peek());
        if (kind == 'H' || kind == 'Q' || kind == 'B') return non_decimal(datum, kind);
        if (kind == '0') {  // indefinite length: all that is left of the message (IEEE 488.2, 7.7.6.2)
            datum.kind = Datum::Kind::block;
            datum.text = std::string(bytes_.substr(at_ + 1));
            at_ = bytes_.size();
            return true;
        }
        if (!is_digit(kind))
            return fail(ErrorCode::invalid_block_data, fmt::format("{} after '#'", shown(kind)));
        const auto width = static_cast<std::size_t>(kind - '0');
        ++at_;
        if (bytes_.size() - at_ < width)
            return fail(ErrorCode::invalid_block_data, "length field is cut off");
        std::size_t length = 0;
        for (std::size_t i = 0; i < width; ++i) {
            if (!is_digit(peek()))
                return fail(ErrorCode::invalid_block_data, fmt::format("{} in length", shown(peek())));
            length = length * 10 + static_cast<std::size_t>(bytes_[at_++] - '0');
        }
        if (bytes_.size() - at_ < length) {
            return fail(ErrorCode::invalid_block_data,
                        fmt::format("{} bytes announced, {} sent", length, bytes_.size() - at_));
        }
        datum.kind = Datum::Kind::block;
        datum.text = std::string(bytes_.substr(at_, length));
        at_ += length;
        return true;
    }

    bool non_decimal(Datum& datum, char kind) {
        ++at_;
        const int base = kind == 'H' ? 16 : kind == 'Q' ? 8 : 2;
        std::uint64_t value = 0;
        const std::size_t begin = at_;
        const auto result = std::from_chars(bytes_.data() + at_, bytes_.data() + bytes_.size(), value, base);
        at_ = static_cast<std::size_t>(result.ptr - bytes_.data());
        if (result.ec == std::errc::result_out_of_range) {
            return fail(ErrorCode::too_many_digits, "does not fit 64 bits");
        }
        if (at_ == begin || (!at_end() && is_word(peek()))) {
            return fail(ErrorCode::invalid_character_in_number, at_end() ? "no digits" : shown(peek()));
        }
        datum.kind = Datum::Kind::number;
        datum.number = static_cast<double>(value);
        return true;
    }

    std::string_view bytes_;
    std::size_t at_ = 0;
    Message message_;
};

}  // namespace

Message lex(std::string_view bytes) { return Lexer(bytes).read(); }

}  // namespace ampturn::sim::scpi
