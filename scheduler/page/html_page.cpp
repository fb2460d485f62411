#include "scheduler/page/html_page.hpp"

#include <fmt/format.h>

#include "embedded/page.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"

namespace ampturn::page {

std::string html_page(const HtmlPage& page) {
    return base::filled_template(
        embedded::page::page(),
        {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
         {"title", html_escaped(page.title)},
         {"style", std::string(embedded::page::style())},
         {"body", page.body},
         {"data", script_safe(page.data_json)},
         {"echarts", std::string(embedded::page::echarts())},
         {"echarts_notice", std::string(embedded::page::echarts_notice())},
         {"common", std::string(embedded::page::common())},
         {"charts", std::string(page.charts)}});
}

}  // namespace ampturn::page
