#pragma once

#include <cstdint>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim::record {

/// One line of a session log without its checksum: a JSON object whose keys keep the order they were given.
using Record = nlohmann::ordered_json;

/// Check value that runs through a log: of a line, CRC-32/ISO-HDLC over the eight characters of the line before ("00000000"
/// before the first) and all bytes of the line before `,"crc"`. A line taken out, put in, moved or changed breaks all that follow.
class RunningCheck {
  public:
    /// The value of a line's body; the next line's rests on it.
    std::string next(std::string_view body);

  private:
    std::string last_ = "00000000";
};

/// A record as written: `{...,"crc":"1C291CA3"}` and a newline. What is not UTF-8 (the name of a file may be so; for input see
/// printable()) becomes replacement marks.
std::string line_of(const Record& record, RunningCheck& check);

/// `text` if it is printable ASCII, otherwise "hex:" and two digits a byte; text_of_printable() undoes it.
/// Text that itself starts with "hex:" is written in hex too.
std::string printable(std::string_view text);
std::string text_of_printable(std::string_view printable);

/// Appends records to a file that did not exist before. Each record goes out in one write(2) before append()
/// returns, so that a kill of the process at any moment loses at most the record being written. A log that would grow beyond
/// its quota ends with a record `"what":"full"` in the place of the one that has no room; nothing is written after it.
/// Throws std::system_error naming the file when it exists, cannot be made or cannot be written (disc full).
class SessionLog {
  public:
    static constexpr std::uint64_t default_bytes_max = 1'000'000'000;
    explicit SessionLog(const std::filesystem::path& path, std::uint64_t bytes_max = default_bytes_max);
    ~SessionLog();
    SessionLog(const SessionLog&) = delete;
    SessionLog& operator=(const SessionLog&) = delete;

    /// False when the log is full.
    bool append(const Record& record);
    bool full() const { return full_; }
    /// Asks the system to carry what was written to the disc (after a trip and at the end of a session); std::system_error when it
    /// could not.
    void sync();
    const std::filesystem::path& path() const { return path_; }

  private:
    void write_line(std::string_view line);

    std::filesystem::path path_;
    std::uint64_t bytes_max_, bytes_ = 0;
    RunningCheck check_;
    bool full_ = false;
    int file_ = -1;
};

/// What could be read of a log: whole records up to the first line that is cut, damaged or out of sequence.
struct LogRead {
    std::vector<Record> records;  // without "crc"
    std::uint64_t good_bytes = 0;
    /// Empty when the file ends with a whole record; otherwise says which line is not whole and why.
    std::string damage;
    std::size_t damage_line = 0;
    /// The damage lies inside: more lines follow it. A log that was only cut short has none.
    bool inside = false;
};
LogRead read_log_text(std::string_view bytes);
/// Throws std::system_error when the file cannot be read.
LogRead read_log(const std::filesystem::path& path);

}  // namespace ampturn::sim::record
