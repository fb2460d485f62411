#pragma once

#include <cstdlib>
#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/paths.hpp"

/// A reference table of tests/reference: '#' lines are remarks, the first other line is the header; quoted
/// fields may hold commas. The number of rows is said where the table is used, so that no loop over it passes
/// empty.
class ReferenceCsv {
  public:
    ReferenceCsv(const std::string& path_below_reference, std::size_t row_count) {
        const std::string path = ampturn::test::source_path("tests/reference/") + path_below_reference;
        std::ifstream in(path);
        if (!in) throw std::runtime_error("cannot read " + path);
        for (std::string line; std::getline(in, line);) {
            if (line.empty() || line[0] == '#') continue;
            std::vector<std::string> fields = split(line);
            if (columns_.empty())
                for (std::size_t i = 0; i < fields.size(); ++i) columns_[fields[i]] = i;
            else
                rows_.push_back(std::move(fields));
        }
        if (rows_.size() != row_count)
            throw std::runtime_error(path + " has " + std::to_string(rows_.size()) + " rows, not " +
                                     std::to_string(row_count));
    }

    std::size_t size() const { return rows_.size(); }
    const std::string& text(std::size_t row, const std::string& column) const {
        return rows_.at(row).at(columns_.at(column));
    }
    double number(std::size_t row, const std::string& column) const { return std::stod(text(row, column)); }

  private:
    static std::vector<std::string> split(const std::string& line) {
        std::vector<std::string> fields(1);
        bool quoted = false;
        for (const char c : line) {
            if (c == '"')
                quoted = !quoted;
            else if (c == ',' && !quoted)
                fields.emplace_back();
            else if (c != '\r')
                fields.back() += c;
        }
        return fields;
    }

    std::map<std::string, std::size_t> columns_;
    std::vector<std::vector<std::string>> rows_;
};
