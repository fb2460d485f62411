#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ampturn::base {

/// Text laid out for a terminal in fixed columns. Widths count Unicode code points.

std::size_t text_width(std::string_view utf8);
/// Breaks at spaces so that no line is wider than `width`, each line indented by `indent` columns and ended
/// by a newline; a word longer than a line stays whole.
std::string wrapped(std::string_view text, std::size_t width, std::size_t indent);
/// As wrapped, the first line led by `mark` ("- ", "2. "), the others indented as far as its end.
std::string wrapped_item(std::string_view mark, std::string_view text, std::size_t width, std::size_t indent);

enum class CellSide { left, right };

struct TextColumn {
    std::string header;
    CellSide align = CellSide::left;
    std::string group = "";  // neighbours of one group share it as a heading above their own
};

struct TextCell {
    std::string text;
    int ansi_colour = 0;  // SGR code, 0: none
};

/// A table with `gap` spaces between columns. When it would be wider than the page, the last column is wrapped.
class TextTable {
  public:
    explicit TextTable(std::vector<TextColumn> columns, std::size_t gap = 2)
        : columns_(std::move(columns)), gap_(gap) {}
    /// As many cells as columns, else std::logic_error.
    void row(std::vector<TextCell> cells);
    std::string text(std::size_t page_width, std::size_t indent, bool colour) const;

  private:
    std::string group_line(const std::vector<std::size_t>& widths, std::size_t indent) const;

    std::vector<TextColumn> columns_;
    std::vector<std::vector<TextCell>> rows_;
    std::size_t gap_;
};

}  // namespace ampturn::base
