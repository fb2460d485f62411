#include "scheduler/base/csv.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

namespace ampturn::base {

CsvTable::CsvTable(const std::vector<std::string_view>& columns) : column_count_(columns.size()) {
    for (const std::string_view column : columns) cell(column);
    end_row();
}

void CsvTable::separate() {
    if (cells_in_row_ > 0) text_ += ',';
    ++cells_in_row_;
}

CsvTable& CsvTable::cell(double value) {
    separate();
    if (std::isfinite(value)) fmt::format_to(std::back_inserter(text_), "{:.9g}", value);
    return *this;
}

CsvTable& CsvTable::cell(std::int64_t value) {
    separate();
    fmt::format_to(std::back_inserter(text_), "{}", value);
    return *this;
}

CsvTable& CsvTable::cell(std::uint64_t value) {
    separate();
    fmt::format_to(std::back_inserter(text_), "{}", value);
    return *this;
}

CsvTable& CsvTable::cell(std::string_view value) {
    separate();
    if (value.find_first_of(",\"\r\n") == std::string_view::npos) {
        text_ += value;
        return *this;
    }
    text_ += '"';
    for (const char c : value) {
        if (c == '"') text_ += '"';
        text_ += c;
    }
    text_ += '"';
    return *this;
}

void CsvTable::end_row() {
    if (cells_in_row_ != column_count_)
        throw std::logic_error(fmt::format("table of {} columns got {} cells", column_count_, cells_in_row_));
    text_ += '\n';
    cells_in_row_ = 0;
}

}  // namespace ampturn::base
