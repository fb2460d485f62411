#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/terrain/elevation_grid.hpp"

namespace ampturn::terrain {

namespace {

constexpr std::size_t cells_most = 200'000'000;

/// Words of a text and where they stand.
class Words {
  public:
    Words(std::string_view text, const std::string& path) : text_(text), path_(path) {}

    /// The next word; empty at the end.
    std::string_view next() {
        while (at_ < text_.size() && is_space(text_[at_])) {
            if (text_[at_] == '\n') {
                ++line_;
                line_begin_ = at_ + 1;
            }
            ++at_;
        }
        word_begin_ = at_;
        while (at_ < text_.size() && !is_space(text_[at_])) ++at_;
        return text_.substr(word_begin_, at_ - word_begin_);
    }
    void back() { at_ = word_begin_; }

    double number(std::string_view word, const std::string& key) const {
        const std::optional<double> value = base::number_in(word);
        if (!value)
            refuse(key, word.empty() ? "the end of the file" : fmt::format("\"{}\"", word.substr(0, 40)),
                   "a number");
        return *value;
    }
    /// At the word read last.
    [[noreturn]] void refuse(const std::string& key, std::string found, std::string allowed) const {
        throw base::InputError(
            base::InputProblem{.file = path_,
                               .position = {line_, static_cast<int>(word_begin_ - line_begin_) + 1},
                               .key = key,
                               .found = std::move(found),
                               .allowed = std::move(allowed)});
    }

  private:
    static bool is_space(char c) { return c == ' ' || c == '\n' || c == '\r' || c == '\t'; }

    std::string_view text_;
    const std::string& path_;
    std::size_t at_ = 0, word_begin_ = 0, line_begin_ = 0;
    int line_ = 1;
};

std::string lower(std::string_view word) {
    std::string out(word);
    std::transform(out.begin(), out.end(), out.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return out;
}

/// The header, up to the first word that is no name.
class Header {
  public:
    explicit Header(Words& words) : words_(words) {
        static constexpr std::string_view known[] = {"ncols",     "nrows",       "xllcorner", "xllcenter",
                                                     "yllcorner", "yllcenter",   "cellsize",  "dx",
                                                     "dy",        "nodata_value"};
        for (;;) {
            const std::string_view word = words.next();
            const bool name =
                !word.empty() && ((word[0] >= 'a' && word[0] <= 'z') || (word[0] >= 'A' && word[0] <= 'Z'));
            if (!name) break;
            const std::string key = lower(word);
            if (std::find(std::begin(known), std::end(known), key) == std::end(known))
                words.refuse(
                    "", fmt::format("\"{}\"", word.substr(0, 40)),
                    "the header of an ESRI ASCII grid: ncols, nrows, xllcorner, yllcorner, cellsize, "
                    "NODATA_value, then heights");
            if (values_.contains(key)) words.refuse(key, "it again", "each name once");
            values_[key] = words.number(words.next(), key);
        }
        words.back();
    }

    std::optional<double> value(const std::string& key) const {
        const auto found = values_.find(key);
        return found == values_.end() ? std::nullopt : std::optional(found->second);
    }
    double needed(const std::string& key) const {
        const auto found = value(key);
        if (!found) words_.refuse(key, "nothing", "it in the header");
        return *found;
    }
    std::size_t count(const std::string& key) const {
        const double n = needed(key);
        if (!(n >= 1 && n <= static_cast<double>(cells_most) && n == std::floor(n)))
            words_.refuse(key, fmt::format("{}", n), fmt::format("a whole number, 1 to {}", cells_most));
        return static_cast<std::size_t>(n);
    }
    double step(const char* one) const {
        const double step = value("cellsize") ? *value("cellsize") : needed(value(one) ? one : "cellsize");
        if (!(step > 0)) words_.refuse("cellsize", fmt::format("{}", step), "above 0");
        return step;
    }
    /// Of the lower left cell's outer edge.
    double edge(const std::string& axis, double step) const {
        const auto centre = value(axis + "llcenter");
        return centre ? *centre - step / 2 : needed(axis + "llcorner");
    }

  private:
    const Words& words_;
    std::map<std::string, double> values_;
};

void check_degrees(const ElevationGrid& grid, const Words& words) {
    const double east = grid.west + static_cast<double>(grid.columns) * grid.step_east;
    const double north = grid.south + static_cast<double>(grid.rows) * grid.step_north;
    const bool on_globe = grid.west >= -181 && east <= 361 && grid.south >= -91 && north <= 91;
    if (!on_globe)
        words.refuse(
            "xllcorner, yllcorner",
            fmt::format("a grid from {:.8g}, {:.8g} to {:.8g}, {:.8g}", grid.west, grid.south, east, north),
            "longitude and latitude in degrees of WGS84, as the plan's sites have them; a grid in "
            "metres has to be projected to that first");
}

}  // namespace

ElevationGrid parse_ascii_grid(std::string_view text, const std::string& path, GridUnit unit) {
    Words words(text, path);
    const Header header(words);
    ElevationGrid grid;
    grid.unit = unit;
    grid.columns = header.count("ncols");
    grid.rows = header.count("nrows");
    grid.step_east = header.step("dx");
    grid.step_north = header.step("dy");
    grid.west = header.edge("x", grid.step_east);
    grid.south = header.edge("y", grid.step_north);
    const double hole = header.value("nodata_value").value_or(-9999);
    if (unit == GridUnit::degree) check_degrees(grid, words);
    if (grid.columns > cells_most / grid.rows)
        words.refuse("ncols, nrows", fmt::format("{} times {}", grid.columns, grid.rows),
                     fmt::format("at most {} cells", cells_most));
    const std::size_t cells = grid.columns * grid.rows;
    const std::string wanted = fmt::format("{} heights, {} rows of {}", cells, grid.rows, grid.columns);
    grid.height_m.reserve(std::min(cells, text.size() / 2 + 1));  // two bytes a height are the least
    for (std::size_t i = 0; i < cells; ++i) {
        const std::string_view word = words.next();
        if (word.empty()) words.refuse("", fmt::format("the end of the file after {} heights", i), wanted);
        const double height = words.number(word, "");
        if (height != hole && std::abs(height) > 1e5)
            words.refuse("", fmt::format("a height of {:g}", height), "-100000 to 100000 m, or NODATA_value");
        grid.height_m.push_back(height == hole ? std::numeric_limits<float>::quiet_NaN()
                                               : static_cast<float>(height));
    }
    if (!words.next().empty()) words.refuse("", "more heights", wanted);
    return grid;
}

}  // namespace ampturn::terrain
