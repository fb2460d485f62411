#include "scheduler/base/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

namespace ampturn::base {

namespace {

std::vector<std::string> lines_of(std::string_view text, std::size_t width) {
    std::vector<std::string> lines(1);
    std::size_t line_width = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(' '), text.size());
        const std::string_view word = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        if (word.empty()) continue;
        const std::size_t word_width = text_width(word);
        if (!lines.back().empty() && line_width + 1 + word_width > width) {
            lines.emplace_back();
            line_width = 0;
        }
        if (!lines.back().empty()) {
            lines.back() += ' ';
            ++line_width;
        }
        lines.back() += word;
        line_width += word_width;
    }
    return lines;
}

void append_padded(std::string& out, const TextCell& cell, std::size_t width, CellSide align, bool colour) {
    const std::string space(width - std::min(width, text_width(cell.text)), ' ');
    if (align == CellSide::right) out += space;
    if (colour && cell.ansi_colour != 0)
        out += fmt::format("\x1b[{}m{}\x1b[0m", cell.ansi_colour, cell.text);
    else
        out += cell.text;
    if (align == CellSide::left) out += space;
}

void end_line(std::string& out) {
    while (out.ends_with(' ')) out.pop_back();
    out += '\n';
}

}  // namespace

std::size_t text_width(std::string_view utf8) {
    return static_cast<std::size_t>(std::count_if(
        utf8.begin(), utf8.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string wrapped(std::string_view text, std::size_t width, std::size_t indent) {
    return wrapped_item("", text, width, indent);
}

std::string wrapped_item(std::string_view mark, std::string_view text, std::size_t width,
                         std::size_t indent) {
    const std::size_t inner = indent + text_width(mark);
    std::string out;
    bool first = true;
    for (const std::string& line : lines_of(text, width > inner ? width - inner : 1)) {
        out += first ? std::string(indent, ' ').append(mark) : std::string(inner, ' ');
        out += line;
        end_line(out);
        first = false;
    }
    return out;
}

void TextTable::row(std::vector<TextCell> cells) {
    if (cells.size() != columns_.size())
        throw std::logic_error(
            fmt::format("table of {} columns got {} cells", columns_.size(), cells.size()));
    rows_.push_back(std::move(cells));
}

std::string TextTable::group_line(const std::vector<std::size_t>& widths, std::size_t indent) const {
    std::string out;
    std::size_t column_start = indent;
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        if (!columns_[i].group.empty() && (i == 0 || columns_[i].group != columns_[i - 1].group)) {
            const std::size_t written = text_width(out);
            out.append(std::max(written == 0 ? column_start : written + 1, column_start) - written, ' ');
            out += columns_[i].group;
        }
        column_start += widths[i] + gap_;
    }
    return out.empty() ? out : out + "\n";
}

std::string TextTable::text(std::size_t page_width, std::size_t indent, bool colour) const {
    const std::size_t count = columns_.size();
    std::vector<std::size_t> widths(count);
    std::size_t before_last = indent;
    for (std::size_t i = 0; i < count; ++i) {
        widths[i] = text_width(columns_[i].header);
        for (const auto& cells : rows_) widths[i] = std::max(widths[i], text_width(cells[i].text));
        if (i + 1 < count) before_last += widths[i] + gap_;
    }
    const std::size_t left = page_width > before_last ? page_width - before_last : 1;
    widths.back() = std::min(widths.back(), std::max<std::size_t>(left, 12));

    std::string out;
    const auto append_row = [&](const std::vector<TextCell>& cells) {
        out += std::string(indent, ' ');
        for (std::size_t i = 0; i + 1 < count; ++i) {
            append_padded(out, cells[i], widths[i], columns_[i].align, colour);
            out.append(gap_, ' ');
        }
        bool first = true;
        for (const std::string& line : lines_of(cells.back().text, widths.back())) {
            if (!first) out += std::string(before_last, ' ');
            append_padded(out, {line, cells.back().ansi_colour}, widths.back(), columns_.back().align,
                          colour);
            end_line(out);
            first = false;
        }
    };
    out += group_line(widths, indent);
    std::vector<TextCell> header;
    for (const TextColumn& column : columns_) header.push_back({column.header, 1});
    append_row(header);
    for (const auto& cells : rows_) append_row(cells);
    return out;
}

}  // namespace ampturn::base
