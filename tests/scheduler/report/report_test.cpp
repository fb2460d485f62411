#include "scheduler/report/report.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "scheduler/page/html.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace report_test {

using testing::HasSubstr;
using testing::Not;

/// The page without its scripts and style: what is there for a reader without script.
std::string readable(const std::string& page) {
    const std::size_t body = page.find("<body>"), scripts = page.find("<script type=\"application/json\"");
    return page.substr(body, scripts - body);
}

TEST(Report, IsTheSameBytesEachTime) {
    EXPECT_EQ(report_html(synthetic_day()), report_html(synthetic_day()));
}

TEST(Report, HoldsEveryPlaceholderFilled) {
    const std::string page = report_html(synthetic_day());
    EXPECT_THAT(readable(page), Not(HasSubstr("{{")));
    EXPECT_THAT(page, HasSubstr("Invented scenario"));
    EXPECT_THAT(page, HasSubstr("Apache License"));  // the chart library is there with its notice
    day::DayResult real = synthetic_day();
    real.invented = false;
    EXPECT_THAT(report_html(real), Not(HasSubstr("Invented scenario")));
}

TEST(Report, NamesNoOtherFileAndNoServer) {
    const std::string page = readable(report_html(synthetic_day()));
    for (const std::string attribute : {"src=\"", "href=\""})
        for (std::size_t at = page.find(attribute); at != std::string::npos;
             at = page.find(attribute, at + 1))
            EXPECT_EQ(page[at + attribute.size()], '#') << page.substr(at, 60);
    EXPECT_THAT(page, Not(HasSubstr("http")));
}

TEST(Report, TextOfThePlanCannotBecomeMarkup) {
    day::DayResult day = synthetic_day();
    day.survey_name = "</title><script>alert(1)</script>{{data}}";
    day.stations[0].name = "\"><img src=x onerror=alert(1)>";
    day.cautions[0] = "</script><script>alert(1)</script>";
    const std::string page = report_html(day);
    EXPECT_THAT(page, Not(HasSubstr("<script>alert")));
    EXPECT_THAT(page, Not(HasSubstr("<img src=x")));
    EXPECT_THAT(page, HasSubstr("{{data}}"));  // printed, not filled in
}

TEST(Report, DataForTheChartsIsJson) {
    const std::string page = report_html(synthetic_day());
    const std::string opening = "<script type=\"application/json\" id=\"data\">";
    const std::size_t begin = page.find(opening) + opening.size();
    const auto data = nlohmann::json::parse(page.substr(begin, page.find("</script>", begin) - begin));
    EXPECT_EQ(data.at("judged").at("verdict").size(), 12u * 16u);
    EXPECT_EQ(data.at("battery_trace").at("time_s").size(), synthetic_day().battery_trace.size());
}

TEST(Report, SaysHowSureWhenRunsAreThere) {
    day::MonteCarloSummary runs{.runs = 40, .seed = 7, .completes_probability = 0.25};
    runs.energy_wh = {90, 104, 131};
    runs.influences = {{"battery capacity", 0.71, 0.9, 0.1}};
    runs.readings = {{0, 0, 0.975}};
    const std::string page = readable(report_html(synthetic_day(), &runs));
    for (const char* words : {"40 Monte Carlo runs of the day (seed 7)", "completes in 25 %",
                              "battery capacity", "0.71", "131.0", ">98<"})
        EXPECT_THAT(page, HasSubstr(words));
    EXPECT_THAT(readable(report_html(synthetic_day())), Not(HasSubstr("How sure")));
}

TEST(Report, EveryVerdictHasWordSymbolAndReason) {
    const std::string page = readable(report_html(synthetic_day()));
    EXPECT_THAT(
        page,
        HasSubstr(
            "title=\"S5, 40 kHz: noisy, error bar over the target of 5 % in yx\"><b>\u223f</b><span>noisy</span>"));
    EXPECT_THAT(page, HasSubstr("<pre>"));
}

TEST(HtmlTable, EscapesCells) {
    page::HtmlTable table("", {{"a"}, {"b", true}});
    table.row({"<b>&'\"", "1"});
    EXPECT_THAT(table.html(), HasSubstr("<td>&lt;b&gt;&amp;&#39;&quot;</td><td class=\"n\">1</td>"));
    EXPECT_THROW(table.row({"x"}), std::logic_error);
    EXPECT_EQ(page::html_escaped(std::string("a\x01"
                                             "b\x00"
                                             "c",
                                             5)),
              "abc");
}

}  // namespace report_test
}  // namespace ampturn::report
