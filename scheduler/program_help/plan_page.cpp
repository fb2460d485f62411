#include <fmt/format.h>

#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/program_help/manual_page.hpp"
#include "scheduler/program_help/roff.hpp"

namespace ampturn::program_help {

namespace {

using plan::file::KeyInfo;

std::string key_entry(const KeyInfo& key) {
    std::string text = fmt::format(".TP\n\\fB{}\\fR", key.name);
    if (!key.unit.empty()) text += " (" + roff_text(key.unit).substr(0, roff_text(key.unit).size() - 1) + ")";
    std::string meaning = key.help;
    if (!meaning.empty() && meaning.back() != '.') meaning += ".";
    meaning += fmt::format(" Allowed: {}.", key.allowed);
    meaning += key.required ? std::string(" Required.") : fmt::format(" Default: {}.", key.default_words());
    if (!key.source.empty()) meaning += fmt::format(" Source: {}.", key.source);
    return text + "\n" + roff_text(meaning);
}

std::string entries(const std::vector<KeyInfo>& keys) {
    std::string text;
    for (const KeyInfo& key : keys)
        if (key.children.empty()) text += key_entry(key);
    return text;
}

std::string table_entry(const plan::explain::FlatKey& table) {
    const KeyInfo& info = *table.info;
    std::string help = info.help;
    if (info.repeated) help += fmt::format(" There may be {}.", info.allowed);
    if (info.required)
        help += " Required.";
    else if (!info.when_absent.empty())
        help += fmt::format(" Optional; without it: {}.", info.when_absent);
    return fmt::format(".SS {}\n{}", header_of(table), roff_text(help)) + entries(info.children);
}

}  // namespace

std::string plan_page(const Edition& edition) {
    const std::vector<KeyInfo>& keys = plan::file::plan_key_infos();
    std::string text = fmt::format(".TH AMPTURN\\-PLAN 5 {} \"ampturn {}\" \"File Formats\"\n", edition.date,
                                   edition.version);
    text +=
        ".SH NAME\nampturn\\-plan \\- plan of a survey with a portable loop transmitter\n"
        ".SH DESCRIPTION\n" +
        roff_text(
            "A plan is one TOML 1.0 file of at most 4 MB. `ampturn check PLAN` reads it and points at "
            "whatever will not do, by line, column and key; `ampturn explain KEY` prints what stands here. Keys "
            "that are not listed are errors.") +
        entries(keys) + ".SH TABLES\n";
    for (const plan::explain::FlatKey& key : plan::explain::flatten(keys))
        if (!key.info->children.empty()) text += table_entry(key);
    return text + ".SH SEE ALSO\n.BR ampturn (1),\n.BR ampturn\\-sim (1)\n";
}

}  // namespace ampturn::program_help
