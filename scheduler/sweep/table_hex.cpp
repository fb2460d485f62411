#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <numeric>
#include <span>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/take_line.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/sweep/table_files.hpp"

// Intel HEX: ":" count address type data checksum, in hexadecimal; all bytes of a record sum to 0 modulo 256.

namespace ampturn::sweep {
namespace {

enum RecordType : std::uint8_t {
    data_record = 0,
    end_record = 1,
    segment_address_record = 2,
    linear_address_record = 4
};

std::string record(std::uint8_t type, std::size_t address, const std::uint8_t* data, std::size_t count) {
    std::string out = fmt::format(":{:02X}{:04X}{:02X}", count, address, type);
    std::size_t sum = count + (address >> 8) + (address & 0xFF) + type;
    for (std::size_t i = 0; i < count; ++i) {
        out += fmt::format("{:02X}", data[i]);
        sum += data[i];
    }
    out += fmt::format("{:02X}\n", (0x100 - sum % 0x100) % 0x100);
    return out;
}

class HexReader {
  public:
    explicit HexReader(const std::string& path) : path_(path) {}

    void line(int number, std::string_view text) {
        number_ = number;
        if (ended_) throw refuse(text, "nothing after the end record");
        const std::vector<std::uint8_t> bytes = bytes_of(text);
        if (bytes.size() < 5 || bytes.size() != std::size_t{bytes[0]} + 5)
            throw refuse(fmt::format("{} bytes", bytes.size()),
                         "count, address, type, as many data bytes as the count says, checksum");
        if (std::accumulate(bytes.begin(), bytes.end(), 0u) % 256 != 0)
            throw refuse(fmt::format("checksum {:02X}", bytes.back()),
                         "a record whose bytes sum to 0 modulo 256");
        const std::size_t offset = std::size_t{bytes[1]} << 8 | bytes[2];
        const std::span data{bytes.data() + 4, bytes[0]};
        switch (bytes[3]) {
            case data_record:
                add(offset, data);
                break;
            case end_record:
                if (!data.empty()) throw refuse("an end record with data", ":00000001FF");
                ended_ = true;
                break;
            case segment_address_record:
            case linear_address_record:
                if (data.size() != 2)
                    throw refuse(fmt::format("{} data bytes", data.size()),
                                 "two data bytes in an address record");
                base_ = (std::uint64_t{data[0]} << 8 | data[1])
                        << (bytes[3] == linear_address_record ? 16 : 4);
                break;
            default:
                throw refuse(fmt::format("record type {:02X}", bytes[3]),
                             "00 data, 01 end, 02 or 04 address");
        }
    }

    std::vector<std::uint8_t> finish() {
        if (!ended_) throw refuse("no end record", "a last line :00000001FF");
        return std::move(image_);
    }

  private:
    base::InputError refuse(std::string_view found, std::string_view allowed) const {
        return base::InputError(
            {path_, {number_, 0}, "", std::string(found.substr(0, 60)), std::string(allowed)});
    }

    std::vector<std::uint8_t> bytes_of(std::string_view text) const {
        if (!text.starts_with(':')) throw refuse(text, "a record that begins with ':'");
        text.remove_prefix(1);
        if (text.size() % 2 != 0) throw refuse(text, "an even number of hexadecimal digits");
        std::vector<std::uint8_t> bytes;
        for (; !text.empty(); text.remove_prefix(2)) {
            std::uint8_t byte = 0;
            if (std::from_chars(text.data(), text.data() + 2, byte, 16).ptr != text.data() + 2)
                throw refuse(text.substr(0, 2), "hexadecimal digits");
            bytes.push_back(byte);
        }
        return bytes;
    }

    void add(std::size_t offset, std::span<const std::uint8_t> data) {
        const std::uint64_t address = base_ + offset;
        if (image_.empty()) next_ = address;
        if (address != next_)
            throw refuse(fmt::format("address {:08X}", address),
                         fmt::format("{:08X}, where the data before end", next_));
        if (image_.size() + data.size() > core::image_bytes_max)
            throw refuse("more data", fmt::format("at most {} bytes", core::image_bytes_max));
        image_.insert(image_.end(), data.begin(), data.end());
        next_ = address + data.size();
    }

    const std::string& path_;
    std::vector<std::uint8_t> image_;
    std::uint64_t base_ = 0, next_ = 0;
    int number_ = 0;
    bool ended_ = false;
};

}  // namespace

std::string hex_of_bytes(const std::vector<std::uint8_t>& bytes) {
    std::string out;
    for (std::size_t at = 0; at < bytes.size(); at += 16)
        out += record(data_record, at, bytes.data() + at, std::min<std::size_t>(16, bytes.size() - at));
    return out + record(end_record, 0, nullptr, 0);
}

std::vector<std::uint8_t> bytes_of_hex(const std::string& path, std::string_view text) {
    HexReader reader(path);
    int number = 0;
    while (!text.empty()) {
        const std::string_view line = base::take_line(text);
        ++number;
        if (!line.empty()) reader.line(number, line);
    }
    return reader.finish();
}

}  // namespace ampturn::sweep
