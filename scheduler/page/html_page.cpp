#include "scheduler/page/html_page.hpp"

#include <fmt/format.h>

#include <stdexcept>

#include "embedded/page.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"

namespace ampturn::plan {

namespace {

std::string value_of(std::string_view name, const HtmlPage& page) {
    if (name == "generator") return fmt::format("ampturn {} ({})", version(), git_hash());
    if (name == "title") return html_escaped(page.title);
    if (name == "style") return std::string(embedded::page::style());
    if (name == "body") return page.body;
    if (name == "data") return script_safe(page.data_json);
    if (name == "echarts") return std::string(embedded::page::echarts());
    if (name == "common") return std::string(embedded::page::common());
    if (name == "charts") return std::string(page.charts);
    throw std::logic_error("page template names the unknown value " + std::string(name));
}

}  // namespace

std::string html_page(const HtmlPage& page) {
    std::string_view rest = embedded::page::page();
    std::string out;
    while (true) {
        const std::size_t open = rest.find("{{");
        out += rest.substr(0, open);
        if (open == std::string_view::npos) return out;
        const std::size_t close = rest.find("}}", open);
        out += value_of(rest.substr(open + 2, close - open - 2), page);
        rest.remove_prefix(close + 2);
    }
}

}  // namespace ampturn::plan
