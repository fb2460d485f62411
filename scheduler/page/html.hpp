#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ampturn::page {

/// Text for HTML: & < > " ' become character references; control characters other
/// than tab and line breaks are dropped.
std::string html_escaped(std::string_view text);

/// Items of a list, each text escaped; "" for none.
std::string list_items(const std::vector<std::string>& texts);

/// JSON for a <script> element: "<" becomes \u003c, so no text in the data can close the element.
std::string script_safe(std::string_view json);

/// What a page says first when its plan is made up.
inline constexpr const char* invented_line =
    "<p class=\"invented\">Invented scenario: no real survey, place or people</p>\n";

/// A table. Cells are escaped here; right-aligned columns hold numbers.
class HtmlTable {
  public:
    struct Column {
        std::string header;
        bool number = false;
        std::string hover = "";  // explanation of the header
    };
    explicit HtmlTable(std::string caption, std::vector<Column> columns)
        : caption_(std::move(caption)), columns_(std::move(columns)) {}
    /// `css_class` marks a row; as many cells as columns, else std::logic_error.
    void row(const std::vector<std::string>& cells, std::string_view css_class = "");
    std::size_t row_count() const { return row_count_; }
    std::string html() const;

  private:
    std::string caption_;
    std::vector<Column> columns_;
    std::string rows_;
    std::size_t row_count_ = 0;
};

/// A table behind a line to click on.
std::string collapsible(std::string_view summary, std::string_view inner_html);

}  // namespace ampturn::page
