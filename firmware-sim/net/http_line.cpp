#include "firmware-sim/net/http_line.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <string>

namespace ampturn::sim::net {

namespace {

bool is_token(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
        return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' ||
               c == '_';
    });
}

/// Of those that browsers send.
bool is_header(std::string_view name) {
    constexpr std::array whole{"accept", "connection", "cookie", "dnt",    "host",
                               "origin", "referer",    "te",     "upgrade"};
    constexpr std::array begun{"accept-", "access-control-", "cache-", "content-", "if-",
                               "sec-",    "upgrade-",        "user-",  "x-"};
    std::string low(name);
    std::transform(low.begin(), low.end(), low.begin(), [](unsigned char c) { return std::tolower(c); });
    return std::find(whole.begin(), whole.end(), low) != whole.end() ||
           (is_token(low) && std::any_of(begun.begin(), begun.end(),
                                         [&](const char* start) { return low.starts_with(start); }));
}

}  // namespace

bool is_http_line(std::string_view line) {
    const std::size_t space = line.find(' ');
    if (space != std::string_view::npos && is_token(line.substr(0, space)) &&
        line.find(" HTTP/") != std::string_view::npos)
        return true;
    const std::size_t colon = line.find(": ");
    return colon != std::string_view::npos && is_header(line.substr(0, colon));
}

}  // namespace ampturn::sim::net
