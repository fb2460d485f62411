#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim::scpi {

/// Error numbers of SCPI-99, volume 2, chapter 21 (numbers and texts from memory). The hundred gives the
/// class: -1xx command, -2xx execution, -3xx device, -4xx query.
enum class ErrorCode : std::int16_t {
    none = 0,
    command_error = -100,
    invalid_character = -101,
    syntax_error = -102,
    invalid_separator = -103,
    data_type_error = -104,
    parameter_not_allowed = -108,
    missing_parameter = -109,
    header_separator_error = -111,
    mnemonic_too_long = -112,
    undefined_header = -113,
    header_suffix_out_of_range = -114,
    invalid_character_in_number = -121,
    exponent_too_large = -123,
    too_many_digits = -124,
    numeric_data_not_allowed = -128,
    invalid_suffix = -131,
    suffix_too_long = -134,
    suffix_not_allowed = -138,
    invalid_character_data = -141,
    character_data_too_long = -144,
    character_data_not_allowed = -148,
    invalid_string_data = -151,
    string_data_not_allowed = -158,
    invalid_block_data = -161,
    block_data_not_allowed = -168,
    invalid_expression = -171,
    expression_not_allowed = -178,
    execution_error = -200,
    command_protected = -203,
    trigger_ignored = -211,
    arm_ignored = -212,
    init_ignored = -213,
    settings_conflict = -221,
    data_out_of_range = -222,
    too_much_data = -223,
    illegal_parameter_value = -224,
    lists_not_same_length = -226,
    data_corrupt = -230,
    hardware_error = -240,
    hardware_missing = -241,
    mass_storage = -250,
    device_error = -300,
    self_test_failed = -330,
    queue_overflow = -350,
    input_buffer_overrun = -363,
    query_unterminated = -420,
    query_deadlocked = -430,
    query_after_indefinite = -440,
};

/// The standard text of a number.
std::string_view name_of(ErrorCode code);

struct Error {
    ErrorCode code = ErrorCode::none;
    /// What was found and what is allowed; shown after the standard text, separated by a semicolon.
    std::string detail;

    friend bool operator==(const Error&, const Error&) = default;
};

/// `-222,"Data out of range;..."`: the answer to SYSTem:ERRor? for one error. A double quote inside is doubled.
std::string format_error(const Error& error);

/// First in, first out. When it is full the newest entry is replaced by -350 and later errors are lost until
/// it is read (SCPI-99, 21.8.1).
class ErrorQueue {
  public:
    static constexpr std::size_t capacity = 32;

    void push(Error error);
    /// The oldest error, removed; code none when empty.
    Error pop();
    void clear() { errors_.clear(); }
    std::size_t size() const { return errors_.size(); }
    bool empty() const { return errors_.empty(); }

  private:
    std::vector<Error> errors_;
};

}  // namespace ampturn::sim::scpi
