#include "scheduler/base/nesting.hpp"

#include <algorithm>

namespace ampturn::base {

namespace {

constexpr std::size_t none = std::string_view::npos;

/// Behind the text in quotes that begins at `at`; the end of the text where it does not end.
std::size_t behind_quotes(std::string_view text, std::size_t at, char quote, bool escapes) {
    for (++at; at < text.size() && text[at] != quote; ++at)
        if (escapes && text[at] == '\\') ++at;
    return std::min(at + 1, text.size());
}

std::size_t behind(std::string_view text, std::size_t at, std::string_view mark) {
    const std::size_t found = text.find(mark, at);
    return found == none ? text.size() : found + mark.size();
}

/// Behind the tag that begins at `at`; quotes in it may hold a '>'.
std::size_t behind_tag(std::string_view text, std::size_t at) {
    while (at < text.size() && text[at] != '>')
        at = text[at] == '"' || text[at] == '\'' ? behind_quotes(text, at, text[at], false) : at + 1;
    return std::min(at + 1, text.size());
}

}  // namespace

std::optional<std::size_t> json_nested_too_deep(std::string_view text) {
    int depth = 0;
    for (std::size_t at = 0; at < text.size(); ++at) {
        switch (text[at]) {
            case '"':
                at = behind_quotes(text, at, '"', true) - 1;
                break;
            case '[':
            case '{':
                if (++depth > nesting_max) return at;
                break;
            case ']':
            case '}':
                --depth;
                break;
            default:
                break;
        }
    }
    return std::nullopt;
}

std::optional<std::size_t> xml_nested_too_deep(std::string_view text) {
    int depth = 0;
    for (std::size_t at = text.find('<'); at != none; at = text.find('<', at)) {
        const std::string_view rest = text.substr(at);
        if (rest.starts_with("<!--")) {
            at = behind(text, at, "-->");
        } else if (rest.starts_with("<![CDATA[")) {
            at = behind(text, at, "]]>");
        } else if (rest.starts_with("<?")) {
            at = behind(text, at, "?>");
        } else {
            const std::size_t end = behind_tag(text, at);
            if (rest.starts_with("</"))
                --depth;
            else if (!(end >= 2 && text[end - 2] == '/') && ++depth > nesting_max)
                return at;
            at = end;
        }
    }
    return std::nullopt;
}

std::optional<std::size_t> toml_key_too_long(std::string_view text) {
    int dots = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::string_view rest = text.substr(at);
        if (rest.starts_with("\"\"\"") || rest.starts_with("'''")) {
            at = behind(text, at + 3, rest.substr(0, 3));
            continue;
        }
        switch (text[at]) {
            case '"':
            case '\'':
                at = behind_quotes(text, at, text[at], text[at] == '"');
                continue;
            case '#':
                at = std::min(text.find('\n', at), text.size());
                continue;
            case '.':
                if (++dots >= key_parts_max) return at;
                break;
            case '=':
            case '\n':
            case ',':
            case '{':
            case '[':
                dots = 0;
                break;
            default:
                break;
        }
        ++at;
    }
    return std::nullopt;
}

}  // namespace ampturn::base
