#include "scheduler/base/number_arguments.hpp"

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <charconv>
#include <cstdint>

#include "scheduler/base/number_text.hpp"

namespace ampturn::base {

std::string fault_of_number(const std::string& text) {
    if (number_in(text)) return "";
    return "found " + text + ", allowed a finite number";
}

std::string fault_of_whole_number(const std::string& text) {
    std::uint64_t number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error == std::errc() && end == text.data() + text.size()) return "";
    return "found " + text + ", allowed a whole number, 0 or more";
}

void check_number_arguments(CLI::App& app) {
    for (CLI::Option* option : app.get_options([](const CLI::Option*) { return true; })) {
        const std::string type =
            option->get_type_name();  // with what other checks say of themselves behind it
        if (type.starts_with("FLOAT"))
            option->check(CLI::Validator(fault_of_number, ""));
        else if (type.starts_with("INT") || type.starts_with("UINT"))
            option->check(CLI::Validator(fault_of_whole_number, ""));
    }
    for (CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
        check_number_arguments(*command);
}

}  // namespace ampturn::base
