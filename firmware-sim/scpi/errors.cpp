#include "firmware-sim/scpi/errors.hpp"

#include <fmt/format.h>

#include <utility>

namespace ampturn::sim::scpi {

// Long because it is a table: a number and its text, all in one place.
std::string_view name_of(ErrorCode code) {
    switch (code) {
        case ErrorCode::none:
            return "No error";
        case ErrorCode::command_error:
            return "Command error";
        case ErrorCode::invalid_character:
            return "Invalid character";
        case ErrorCode::syntax_error:
            return "Syntax error";
        case ErrorCode::invalid_separator:
            return "Invalid separator";
        case ErrorCode::data_type_error:
            return "Data type error";
        case ErrorCode::parameter_not_allowed:
            return "Parameter not allowed";
        case ErrorCode::missing_parameter:
            return "Missing parameter";
        case ErrorCode::header_separator_error:
            return "Header separator error";
        case ErrorCode::mnemonic_too_long:
            return "Program mnemonic too long";
        case ErrorCode::header_suffix_out_of_range:
            return "Header suffix out of range";
        case ErrorCode::undefined_header:
            return "Undefined header";
        case ErrorCode::invalid_character_in_number:
            return "Invalid character in number";
        case ErrorCode::exponent_too_large:
            return "Exponent too large";
        case ErrorCode::too_many_digits:
            return "Too many digits";
        case ErrorCode::numeric_data_not_allowed:
            return "Numeric data not allowed";
        case ErrorCode::invalid_suffix:
            return "Invalid suffix";
        case ErrorCode::suffix_too_long:
            return "Suffix too long";
        case ErrorCode::suffix_not_allowed:
            return "Suffix not allowed";
        case ErrorCode::invalid_character_data:
            return "Invalid character data";
        case ErrorCode::character_data_too_long:
            return "Character data too long";
        case ErrorCode::character_data_not_allowed:
            return "Character data not allowed";
        case ErrorCode::invalid_string_data:
            return "Invalid string data";
        case ErrorCode::string_data_not_allowed:
            return "String data not allowed";
        case ErrorCode::invalid_block_data:
            return "Invalid block data";
        case ErrorCode::block_data_not_allowed:
            return "Block data not allowed";
        case ErrorCode::invalid_expression:
            return "Invalid expression";
        case ErrorCode::expression_not_allowed:
            return "Expression data not allowed";
        case ErrorCode::execution_error:
            return "Execution error";
        case ErrorCode::command_protected:
            return "Command protected";
        case ErrorCode::trigger_ignored:
            return "Trigger ignored";
        case ErrorCode::arm_ignored:
            return "Arm ignored";
        case ErrorCode::init_ignored:
            return "Init ignored";
        case ErrorCode::settings_conflict:
            return "Settings conflict";
        case ErrorCode::data_out_of_range:
            return "Data out of range";
        case ErrorCode::too_much_data:
            return "Too much data";
        case ErrorCode::illegal_parameter_value:
            return "Illegal parameter value";
        case ErrorCode::lists_not_same_length:
            return "Lists not same length";
        case ErrorCode::data_corrupt:
            return "Data corrupt or stale";
        case ErrorCode::hardware_error:
            return "Hardware error";
        case ErrorCode::hardware_missing:
            return "Hardware missing";
        case ErrorCode::mass_storage:
            return "Mass storage error";
        case ErrorCode::device_error:
            return "Device-specific error";
        case ErrorCode::self_test_failed:
            return "Self-test failed";
        case ErrorCode::queue_overflow:
            return "Queue overflow";
        case ErrorCode::input_buffer_overrun:
            return "Input buffer overrun";
        case ErrorCode::query_unterminated:
            return "Query UNTERMINATED";
        case ErrorCode::query_deadlocked:
            return "Query DEADLOCKED";
        case ErrorCode::query_after_indefinite:
            return "Query UNTERMINATED after indefinite response";
    }
    return "Unknown error";
}

std::string format_error(const Error& error) {
    std::string text(name_of(error.code));
    if (!error.detail.empty()) text += ";" + error.detail;
    std::string quoted;
    for (const char c : text) {
        if (c == '"') quoted += '"';
        quoted += (c >= ' ' && c <= '~') ? c : '?';
    }
    return fmt::format("{},\"{}\"", static_cast<int>(error.code), quoted);
}

void ErrorQueue::push(Error error) {
    if (errors_.size() < capacity) {
        errors_.push_back(std::move(error));
    } else {
        errors_.back() = {ErrorCode::queue_overflow, {}};
    }
}

Error ErrorQueue::pop() {
    if (errors_.empty()) return {};
    Error oldest = std::move(errors_.front());
    errors_.erase(errors_.begin());
    return oldest;
}

}  // namespace ampturn::sim::scpi
