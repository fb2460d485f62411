#include "scheduler/page/html.hpp"

#include <fmt/format.h>

#include <stdexcept>

namespace ampturn::page {

std::string html_escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (const char c : text) switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                if (static_cast<unsigned char>(c) >= 0x20 || c == '\t' || c == '\n' || c == '\r') out += c;
        }
    return out;
}

std::string list_items(const std::vector<std::string>& texts) {
    std::string out;
    for (const std::string& text : texts) out += fmt::format("<li>{}</li>\n", html_escaped(text));
    return out;
}

std::string script_safe(std::string_view json) {
    std::string out;
    out.reserve(json.size());
    for (const char c : json)
        if (c == '<')
            out += "\\u003c";
        else
            out += c;
    return out;
}

void HtmlTable::row(const std::vector<std::string>& cells, std::string_view css_class) {
    if (cells.size() != columns_.size())
        throw std::logic_error(
            fmt::format("table of {} columns got {} cells", columns_.size(), cells.size()));
    rows_ += css_class.empty() ? std::string("<tr>") : fmt::format("<tr class=\"{}\">", css_class);
    for (std::size_t i = 0; i < cells.size(); ++i)
        rows_ +=
            fmt::format("<td{}>{}</td>", columns_[i].number ? " class=\"n\"" : "", html_escaped(cells[i]));
    rows_ += "</tr>\n";
    ++row_count_;
}

std::string HtmlTable::html() const {
    std::string out = "<div class=\"scroll\" tabindex=\"0\"><table>\n";
    if (!caption_.empty()) out += fmt::format("<caption>{}</caption>\n", html_escaped(caption_));
    out += "<thead><tr>";
    for (const Column& column : columns_)
        out +=
            fmt::format("<th scope=\"col\"{}{}>{}</th>", column.number ? " class=\"n\"" : "",
                        column.hover.empty() ? "" : fmt::format(" title=\"{}\"", html_escaped(column.hover)),
                        html_escaped(column.header));
    return out + "</tr></thead>\n<tbody>\n" + rows_ + "</tbody></table></div>\n";
}

std::string collapsible(std::string_view summary, std::string_view inner_html) {
    return fmt::format("<details><summary>{}</summary>\n{}</details>\n", html_escaped(summary), inner_html);
}

}  // namespace ampturn::page
