#include "scheduler/plan/beside/natural_spectrum.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <sstream>
#include <string_view>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/number_text.hpp"

namespace ampturn::plan::beside {

namespace {

constexpr std::string_view header = "frequency_hz,b_pt_per_rthz";

struct Cell {
    const std::string& path;
    int line;
    int column;
    const char* name;
};

double positive_number(std::string_view text, const Cell& cell) {
    const std::optional<double> value = base::number_in(text);
    if (!value || *value <= 0)
        throw base::InputError({cell.path,
                                {cell.line, cell.column},
                                cell.name,
                                fmt::format("\"{}\"", text),
                                "a number above 0"});
    return *value;
}

}  // namespace

NaturalSpectrum read_natural_spectrum(const std::string& path) {
    return natural_spectrum_of(base::read_input_file(path), path);
}

NaturalSpectrum natural_spectrum_of(const std::string& csv, const std::string& path) {
    NaturalSpectrum spectrum;
    std::istringstream text(csv);
    bool header_seen = false;
    int line_number = 0;
    for (std::string line; std::getline(text, line);) {
        ++line_number;
        if (line.ends_with('\r')) line.pop_back();
        if (line.empty() || line.starts_with('#')) continue;
        if (!header_seen) {
            if (line != header)
                throw base::InputError({path,
                                        {line_number, 1},
                                        "",
                                        fmt::format("the header \"{}\"", line.substr(0, 60)),
                                        fmt::format("\"{}\"", header)});
            header_seen = true;
            continue;
        }
        const std::string_view row = line;
        const auto comma = row.find(',');
        if (comma == std::string_view::npos)
            throw base::InputError({path, {line_number, 1}, "", "a line without a comma", "two numbers"});
        const double frequency_hz =
            positive_number(row.substr(0, comma), {path, line_number, 1, "frequency_hz"});
        if (!spectrum.frequency_hz.empty() && frequency_hz <= spectrum.frequency_hz.back())
            throw base::InputError(
                {path,
                 {line_number, 1},
                 "frequency_hz",
                 fmt::format("{}", frequency_hz),
                 fmt::format("more than the line before, {}", spectrum.frequency_hz.back())});
        spectrum.frequency_hz.push_back(frequency_hz);
        spectrum.b_pt_per_rthz.push_back(positive_number(
            row.substr(comma + 1), {path, line_number, static_cast<int>(comma) + 2, "b_pt_per_rthz"}));
    }
    if (spectrum.frequency_hz.empty())
        throw base::InputError(
            {path, {}, "", "no numbers", fmt::format("\"{}\" and at least one line", header)});
    return spectrum;
}

}  // namespace ampturn::plan::beside
