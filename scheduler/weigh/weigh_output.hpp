#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "scheduler/weigh/weigh.hpp"

/// The front for people and programs; tables in weigh_tables.cpp, text in weigh_text.cpp, JSON in weigh_json.cpp, page in
/// weigh_page.cpp.
namespace ampturn::weigh {

/// What the numbers mean: "the worst of 4 frequencies on both loops".
std::string moment_words(const Choices& choices, const Weighed& weighed);
std::string watt_hours_words(const Choices& choices);
/// How much was looked at, and whether all of it.
std::string search_words(const Choices& choices, const Weighed& weighed);
/// One sender in words, part by part.
std::string winding_words(const FrontPoint& point);
std::string battery_words(const FrontPoint& point);
std::string capacitors_words(const Choices& choices, const Weighed& weighed, const FrontPoint& point);
/// Lifting first, then the transmitter's own.
std::vector<std::string> cautions_of(const Choices& choices, const FrontPoint& point);

/// A table as the text and the page show it; as many cells a row as columns.
struct SenderTable {
    struct Column {
        std::string header;
        bool number = false;
    };
    std::vector<Column> columns;
    std::vector<std::vector<std::string>> rows;
};
/// The senders on the front, lightest first; the chosen one is marked.
SenderTable front_table(const Choices& choices, const Weighed& weighed);
/// One sender, step by step.
SenderTable step_table(const FrontPoint& point);

std::string weigh_text(const plan::Plan& plan, const Choices& choices, const Weighed& weighed);
nlohmann::json weigh_json(const plan::Plan& plan, const Choices& choices, const Weighed& weighed);
std::string weigh_page(const plan::Plan& plan, const Choices& choices, const Weighed& weighed);

}  // namespace ampturn::weigh
