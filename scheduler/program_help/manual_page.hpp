#pragma once

#include <string>
#include <string_view>

#include "scheduler/program_help/program_words.hpp"

namespace ampturn::program_help {

/// What a page says of the edition it belongs to.
struct Edition {
    std::string date;     // 2026-11-28, of the version
    std::string version;  // 0.1.0
};

/// What stands in a page beside what the command line says of itself.
struct PageFrame {
    std::string_view summary;   // behind the name, in a few words
    std::string_view see_also;  // "ampturn(1), ampturn\-plan(5)", as roff
    Edition edition;
};

/// The program's page of section 1 for man(7): every command, option and example of its command line.
std::string manual_page(const CommandWords& program, const PageFrame& frame);

/// The page of section 5 on the plan file, made from its keys.
std::string plan_page(const Edition& edition);

}  // namespace ampturn::program_help
