#include <fmt/format.h>

#include <utility>

#include <nlohmann/json.hpp>

#include "embedded/weigh_page.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::weigh {

namespace {

std::string in_html(const std::string& caption, const SenderTable& table) {
    std::vector<page::HtmlTable::Column> columns;
    for (const SenderTable::Column& c : table.columns) columns.push_back({c.header, c.number});
    page::HtmlTable out(caption, std::move(columns));
    for (const std::vector<std::string>& row : table.rows) out.row(row);
    return out.html();
}

}  // namespace

std::string weigh_page(const plan::Plan& plan, const Choices& choices, const Weighed& weighed) {
    nlohmann::json points = nlohmann::json::array();
    for (std::size_t i = 0; i < weighed.front.size(); ++i) {
        const FrontPoint& p = weighed.front[i];
        const Worth& w = p.design.worth;
        points.push_back({{"number", i + 1},
                          {"moment", w.moment_a_m2},
                          {"kg", w.weight_kg},
                          {"wh", w.watt_hours},
                          {"words", fmt::format("{} turns, {} mm2, {}, capacitors: {}", winding_words(p),
                                                base::brief(p.plan.loop_a.wire_area_mm2, 3), battery_words(p),
                                                capacitors_words(choices, weighed, p))}});
    }
    const FrontPoint& chosen = weighed.front[weighed.chosen];
    page::HtmlTable pieces("Carried with the chosen sender", {{"piece"}, {"kg each", true}, {"count", true}});
    for (const CarriedPiece& piece : chosen.pieces)
        pieces.row({piece.name, base::significant(piece.kg, 3), std::to_string(piece.count)});
    const nlohmann::json data{{"points", points}, {"chosen", weighed.chosen + 1}};
    return page::html_page(
        {.title = "Senders: " + plan.survey.name,
         .body = base::filled_template(
             embedded::weigh_page::weigh(),
             {{"survey", page::html_escaped(plan.survey.name)},
              {"invented", plan.survey.invented ? page::invented_line : ""},
              {"search", page::html_escaped(search_words(choices, weighed))},
              {"moment", page::html_escaped(moment_words(choices, weighed))},
              {"watt_hours", page::html_escaped(watt_hours_words(choices))},
              {"front", in_html(fmt::format("The front, lightest first; > marks sender {}, the chosen one",
                                            weighed.chosen + 1),
                                front_table(choices, weighed))},
              {"steps",
               in_html(fmt::format("Sender {}, step by step", weighed.chosen + 1), step_table(chosen))},
              {"pieces", pieces.html()},
              {"transport", page::html_escaped(chosen.transport.text())},
              {"cautions", page::list_items(cautions_of(choices, chosen))},
              {"version", page::html_escaped(base::version())},
              {"git_hash", page::html_escaped(base::git_hash())}}),
         .data_json = base::json_text(data, -1),
         .charts = embedded::weigh_page::charts()});
}

}  // namespace ampturn::weigh
