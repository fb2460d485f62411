#include "firmware-sim/record/session_log.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <fstream>
#include <iterator>
#include <span>
#include <system_error>

#include "scheduler/base/nesting.hpp"
#include "scheduler/core/crc32.hpp"

namespace ampturn::sim::record {
namespace {

constexpr std::string_view crc_key = ",\"crc\":\"";
constexpr std::size_t tail_length = crc_key.size() + 8 + 2;  // ,"crc":"12345678"}

std::uint32_t checksum(std::string_view text) {
    return core::crc32({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

[[noreturn]] void fail(const std::filesystem::path& path, int error) {
    throw std::system_error(error, std::generic_category(), path.string());
}

/// What the readers of a log take for a whole number, a text, or yes and no, wherever it stands.
constexpr std::array whole_keys{"n",        "tick",      "client",  "step_number",   "sweep_number",
                                "tap",      "capacitor", "divisor", "start_tick",    "end_tick",
                                "readings", "at",        "count",   "target_ma_peak"};
constexpr std::array signed_keys{"value",  "error_ticks", "current_ma_peak",
                                 "bus_mv", "battery_mv",  "drive_phase_at_second_mdeg"};
constexpr std::array text_keys{"utc",  "what",  "who",   "kind",  "role",  "text",     "name",
                               "loop", "state", "cause", "event", "crc32", "start_utc"};
constexpr std::array flag_keys{"complete", "clock_locked"};

/// Why a value of a record is none that this program writes there; empty where all are.
std::string wrong_value_of(const Record& record) {
    constexpr std::int64_t most = std::int64_t{1} << 53;  // a double takes it
    const auto wrong = [&](const char* key, auto&& good) {
        const auto found = record.find(key);
        return found != record.end() && !good(*found);
    };
    const auto whole = [](const Record& value) {
        return value.is_number_integer() && value >= -most && value <= most;
    };
    for (const char* key : whole_keys)
        if (wrong(key, [&](const Record& value) { return whole(value) && value >= 0; }))
            return fmt::format("its {} is no whole number up to 2^53", key);
    for (const char* key : signed_keys)
        if (wrong(key, whole)) return fmt::format("its {} is no whole number", key);
    for (const char* key : text_keys)
        if (wrong(key, [](const Record& value) { return value.is_string(); }))
            return fmt::format("its {} is no text", key);
    for (const char* key : flag_keys)
        if (wrong(key, [](const Record& value) { return value.is_boolean(); }))
            return fmt::format("its {} is neither true nor false", key);
    return {};
}

/// Why a line is not a whole record; empty if it is.
std::string flaw_of(std::string_view line, RunningCheck& check, Record& record) {
    if (line.size() < tail_length + 2 || !line.ends_with("\"}")) return "cut short";
    const std::size_t body_size = line.size() - tail_length;
    if (line.substr(body_size, crc_key.size()) != crc_key) return "no checksum at its end";
    const std::string_view body = line.substr(0, body_size);
    if (check.next(body) != line.substr(body_size + crc_key.size(), 8))
        return "its check value does not fit it and the lines before";
    if (base::json_nested_too_deep(line)) return base::json_nesting_found;
    record = Record::parse(line, nullptr, false);
    if (!record.is_object()) return "not a JSON object";
    record.erase("crc");
    return wrong_value_of(record);
}

int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

}  // namespace

std::string RunningCheck::next(std::string_view body) {
    last_ = fmt::format("{:08X}", checksum(last_ + std::string(body)));
    return last_;
}

std::string line_of(const Record& record, RunningCheck& check) {
    std::string line = record.dump(-1, ' ', false, Record::error_handler_t::replace);
    line.pop_back();
    const std::string value = check.next(line);
    return fmt::format("{}{}{}\"}}\n", line, crc_key, value);
}

std::string printable(std::string_view text) {
    bool plain = !text.starts_with("hex:");
    for (const char c : text) plain = plain && c >= ' ' && c <= '~';
    if (plain) return std::string(text);
    std::string hex = "hex:";
    for (const char c : text) hex += fmt::format("{:02X}", static_cast<unsigned char>(c));
    return hex;
}

std::string text_of_printable(std::string_view text) {
    if (!text.starts_with("hex:")) return std::string(text);
    std::string bytes;
    for (std::size_t i = 4; i + 1 < text.size(); i += 2) {
        bytes += static_cast<char>(hex_value(text[i]) * 16 + hex_value(text[i + 1]));
    }
    return bytes;
}

SessionLog::SessionLog(const std::filesystem::path& path, std::uint64_t bytes_max)
    : path_(path), bytes_max_(bytes_max) {
    file_ = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0644);
    if (file_ < 0) fail(path_, errno);
}

SessionLog::~SessionLog() {
    ::fsync(file_);
    ::close(file_);
}

bool SessionLog::append(const Record& record) {
    if (full_) return false;
    constexpr std::uint64_t last_line_bytes = 400;  // of the record that says that the log is full
    RunningCheck check = check_;
    const std::string line = line_of(record, check);
    if (bytes_ + line.size() + last_line_bytes > bytes_max_) {
        full_ = true;
        write_line(line_of({{"n", record.value("n", std::uint64_t{0})},
                            {"tick", record.value("tick", std::uint64_t{0})},
                            {"utc", record.value("utc", "")},
                            {"what", "full"},
                            {"bytes_max", bytes_max_}},
                           check_));
        sync();
        return false;
    }
    write_line(line);
    check_ = check;
    return true;
}

void SessionLog::write_line(std::string_view line) {
    bytes_ += line.size();
    while (!line.empty()) {
        const ssize_t written = ::write(file_, line.data(), line.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) fail(path_, written < 0 ? errno : EIO);
        line.remove_prefix(static_cast<std::size_t>(written));
    }
}

void SessionLog::sync() {
    if (::fdatasync(file_) != 0) fail(path_, errno);
}

LogRead read_log_text(std::string_view bytes) {
    LogRead read;
    RunningCheck check;
    std::size_t at = 0;
    while (at < bytes.size()) {
        const std::size_t line_number = read.records.size() + 1;
        const std::size_t end = bytes.find('\n', at);
        Record record;
        std::string flaw = end == std::string_view::npos ? "no newline at its end"
                                                         : flaw_of(bytes.substr(at, end - at), check, record);
        if (flaw.empty() && record.value("n", std::uint64_t{0}) != line_number) flaw = "out of sequence";
        if (!flaw.empty()) {
            read.damage_line = line_number;
            read.damage = fmt::format("line {}: {}", line_number, flaw);
            read.inside = end != std::string_view::npos && end + 1 < bytes.size();
            return read;
        }
        read.records.push_back(std::move(record));
        at = end + 1;
        read.good_bytes = at;
    }
    return read;
}

LogRead read_log(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) fail(path, errno);
    const std::string bytes((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
    return read_log_text(bytes);
}

}  // namespace ampturn::sim::record
