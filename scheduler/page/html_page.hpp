#pragma once

#include <string>
#include <string_view>

namespace ampturn::page {

/// A self-contained page: no other file, no request to any network (its content security policy forbids it).
/// `body` is HTML; `data_json` is what `charts`, one of the embedded scripts, draws.
struct HtmlPage {
    std::string title, body, data_json;
    std::string_view charts;
};
std::string html_page(const HtmlPage& page);

}  // namespace ampturn::page
