#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::base {

/// A table as text after RFC 4180: comma, header line, fields with a comma, quote or line break in quotes;
/// lines end in LF. Numbers carry a dot and at most nine significant digits; what is not finite is an empty field.
class CsvTable {
  public:
    explicit CsvTable(const std::vector<std::string_view>& columns);

    CsvTable& cell(double value);
    CsvTable& cell(std::int64_t value);
    CsvTable& cell(std::uint64_t value);
    CsvTable& cell(int value) { return cell(std::int64_t{value}); }
    CsvTable& cell(std::uint32_t value) { return cell(std::uint64_t{value}); }
    CsvTable& cell(bool value) { return cell(std::string_view(value ? "yes" : "no")); }
    CsvTable& cell(std::string_view value);
    CsvTable& cell(const char* value) { return cell(std::string_view(value)); }
    CsvTable& cell(const std::string& value) { return cell(std::string_view(value)); }
    /// Closes a row; a row with another number of cells than columns is a bug of ours: std::logic_error.
    void end_row();

    const std::string& text() const { return text_; }

  private:
    void separate();
    std::string text_;
    std::size_t column_count_;
    std::size_t cells_in_row_ = 0;
};

}  // namespace ampturn::base
