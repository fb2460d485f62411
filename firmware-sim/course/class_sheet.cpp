#include "firmware-sim/course/class_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/output_file.hpp"

namespace ampturn::sim::course {

namespace {

constexpr std::array<std::string_view, 14> columns{
    "utc",    "trainee",    "drill",   "title",        "level",  "attempt",  "time_s",
    "points", "points_max", "percent", "pass_percent", "passed", "ended_by", "log"};

struct Cell {
    std::string text;
    int line = 0, column = 0;
};

/// RFC 4180, rows of cells.
class Reader {
  public:
    Reader(const std::string& text, const std::string& file) : text_(text), file_(file) {}

    bool more() const { return at_ < text_.size(); }

    std::vector<Cell> row() {
        std::vector<Cell> cells;
        do {
            cells.push_back(cell());
        } while (take(','));
        take('\r');
        if (more() && !take('\n')) refuse(cells.back(), "something behind a closing quote");
        ++line_;
        line_start_ = at_;
        return cells;
    }

    [[noreturn]] void refuse(const Cell& cell, const std::string& allowed) const {
        throw base::InputError({.file = file_,
                                .position = {cell.line, cell.column},
                                .key = {},
                                .found = cell.text.empty() ? "nothing" : cell.text,
                                .allowed = allowed});
    }

    double number(const Cell& cell, double max) const {
        const std::optional<double> value = base::number_in(cell.text);
        if (!value || !(*value >= 0 && *value <= max))
            refuse(cell, fmt::format("a number from 0 to {:g}", max));
        return *value;
    }

  private:
    bool take(char wanted) {
        if (!more() || text_[at_] != wanted) return false;
        ++at_;
        return true;
    }
    Cell cell() {
        Cell read{{}, line_, static_cast<int>(at_ - line_start_) + 1};
        if (!take('"')) {
            while (more() && text_[at_] != ',' && text_[at_] != '\n' && text_[at_] != '\r')
                read.text += text_[at_++];
            return read;
        }
        while (true) {
            if (!more()) refuse(read, "a closing quote");
            if (!take('"')) {
                if (text_[at_] == '\n') ++line_, line_start_ = at_ + 1;
                read.text += text_[at_++];
            } else if (take('"')) {
                read.text += '"';
            } else {
                return read;
            }
        }
    }

    const std::string& text_;
    const std::string& file_;
    std::size_t at_ = 0, line_start_ = 0;
    int line_ = 1;
};

Attempt attempt_of(const Reader& reader, const std::vector<Cell>& row) {
    if (row.size() != columns.size())
        reader.refuse(row.front(), fmt::format("a row of {} cells", columns.size()));
    constexpr double most = 1e9;
    if (row[11].text != "yes" && row[11].text != "no") reader.refuse(row[11], "yes or no");
    return {.utc = row[0].text,
            .trainee = row[1].text,
            .drill = row[2].text,
            .title = row[3].text,
            .level = static_cast<int>(reader.number(row[4], 5)),
            .number = static_cast<int>(reader.number(row[5], most)),
            .time_s = reader.number(row[6], most),
            .points = reader.number(row[7], most),
            .points_max = reader.number(row[8], most),
            .percent = reader.number(row[9], 100),
            .pass_percent = reader.number(row[10], 100),
            .passed = row[11].text == "yes",
            .ended_by = row[12].text,
            .log = row[13].text};
}

}  // namespace

ClassSheet::ClassSheet(std::string path) : path_(std::move(path)) {
    if (path_.empty()) return;
    const base::OutputFile probe(
        path_);  // gone again at once: a place that takes no file is said now, not after a drill
    if (!std::filesystem::exists(path_)) return;
    attempts_ = attempts_of(base::read_input_file(path_, "a class sheet (CSV)"), path_);
}

std::vector<Attempt> attempts_of(const std::string& csv, const std::string& path) {
    Reader reader(csv, path);
    const std::vector<Cell> head = reader.row();
    for (std::size_t i = 0; i < columns.size(); ++i)
        if (i >= head.size() || head[i].text != columns[i])
            reader.refuse(i < head.size() ? head[i] : head.back(),
                          fmt::format("a class sheet, whose column {} is \"{}\"", i + 1, columns[i]));
    std::vector<Attempt> attempts;
    while (reader.more()) attempts.push_back(attempt_of(reader, reader.row()));
    return attempts;
}

int ClassSheet::count(std::string_view trainee, std::string_view drill) const {
    return static_cast<int>(std::count_if(attempts_.begin(), attempts_.end(), [&](const Attempt& one) {
        return one.trainee == trainee && one.drill == drill;
    }));
}

const Attempt* ClassSheet::best(std::string_view trainee, std::string_view drill) const {
    const Attempt* found = nullptr;
    for (const Attempt& one : attempts_) {
        if (one.trainee != trainee || one.drill != drill) continue;
        if (found == nullptr || std::pair(one.passed, one.percent) > std::pair(found->passed, found->percent))
            found = &one;
    }
    return found;
}

void ClassSheet::add(Attempt attempt) {
    attempt.number = count(attempt.trainee, attempt.drill) + 1;
    attempts_.push_back(std::move(attempt));
    if (!path_.empty()) base::write_output_file(path_, csv());
}

std::string ClassSheet::csv() const { return csv_of(attempts_); }

std::string csv_of(const std::vector<Attempt>& attempts) {
    base::CsvTable table({columns.begin(), columns.end()});
    for (const Attempt& one : attempts) {
        table.cell(one.utc)
            .cell(one.trainee)
            .cell(one.drill)
            .cell(one.title)
            .cell(one.level)
            .cell(one.number);
        table.cell(one.time_s).cell(one.points).cell(one.points_max).cell(one.percent).cell(one.pass_percent);
        table.cell(one.passed).cell(one.ended_by).cell(one.log);
        table.end_row();
    }
    return table.text();
}

bool good_name(std::string_view name) {
    const auto letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80;
    };
    return !name.empty() && name.size() <= 60 && letter(name.front()) &&
           nlohmann::json::accept(fmt::format("\"{}\"", name)) &&  // UTF-8
           std::all_of(name.begin(), name.end(), [&](char c) {
               return letter(c) || (c >= '0' && c <= '9') || c == ' ' || c == '.' || c == '-' || c == '\'';
           });
}

}  // namespace ampturn::sim::course
