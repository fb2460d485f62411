#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "scheduler/core/table.hpp"

namespace ampturn::sweep {

/// The forms in which a sweep table is kept and carried; each comes back equal.
enum class TableFormat {
    image,   ///< the bytes the unit stores, see core/image.hpp
    hex,     ///< the image as Intel HEX (Intel, Hexadecimal Object File Format Specification, rev. A, 1988)
    header,  ///< the image as a constant array for a C or C++ program
    csv,     ///< one line a step, RFC 4180
};

struct StoredTable {
    core::Table table;
    std::uint32_t clock_hz = 0;
    bool operator==(const StoredTable&) const = default;
};

/// The checksum that closes the table's stored image: what sheets, reports and panels call the table's
/// checksum. Not the table's number (core::Table::table_id), which is its owner's.
std::string image_crc32(const core::Table& table, std::uint32_t clock_hz);

/// 1 to 64 steps; else std::logic_error.
std::string table_file(const StoredTable& stored, TableFormat format);

/// What a file's first bytes promise; false if nothing known.
bool looks_like_table(std::string_view bytes, TableFormat& format);

/// Reads a table in any of the forms and checks it whole: layout, checksums, ranges that no unit goes beyond
/// (whether one unit can run it is judged by that unit, with its own limits). InputError with file, line,
/// key, what was found and what is allowed; the first problem only.
StoredTable read_table_file(const std::string& path, std::string_view bytes);
StoredTable read_table_file(const std::string& path);

/// Limits that every table keeps, whatever the unit.
core::Limits widest_limits();

// Parts, for their own tests.
std::vector<std::uint8_t> image_of(const StoredTable& stored);
StoredTable table_of_image(const std::string& path, const std::vector<std::uint8_t>& image);
std::string hex_of_bytes(const std::vector<std::uint8_t>& bytes);
/// Data in one piece without holes, ascending; the address it starts at does not matter.
std::vector<std::uint8_t> bytes_of_hex(const std::string& path, std::string_view text);
std::string csv_of_table(const StoredTable& stored);
StoredTable table_of_csv(const std::string& path, std::string_view text);

}  // namespace ampturn::sweep
