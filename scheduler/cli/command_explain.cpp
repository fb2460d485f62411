#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/explain/key_search.hpp"
#include "scheduler/plan/explain/plan_json.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct ExplainOptions {
    std::vector<std::string> words;
    bool markdown = false, json = false;
    std::string out;
};

void explain(const ExplainOptions& options) {
    std::string text;
    if (options.markdown)
        text = plan::explain::configuration_markdown();
    else if (options.json)
        text = plan::explain::keys_json().dump(2) + "\n";
    else
        text = options.words.empty() ? plan::explain::explain_all()
                                     : plan::explain::explain_words(options.words);
    if (options.out.empty())
        fmt::print("{}", text);
    else
        base::write_output_file(options.out, text);
}

}  // namespace

void add_explain(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<ExplainOptions>();
    CLI::App* command = app.add_subcommand("explain", "Explains the keys of a plan file");
    auto* key = command->add_option(
        "KEY", options->words,
        "Full key or table, or words: every key that has all of them in name, unit or meaning; without it, all keys");
    auto* markdown =
        command->add_flag("--markdown", options->markdown, "The whole reference page")->excludes(key);
    command->add_flag("--json", options->json, "All keys for programs")->excludes(key)->excludes(markdown);
    command->add_option("--out", options->out, "File to write instead of standard output");
    command->footer(
        "Examples:\n  ampturn explain\n  ampturn explain driver.current_limit\n  ampturn explain battery\n"
        "  ampturn explain mains\n  ampturn explain battery resistance ohm\n"
        "  ampturn explain --markdown --out configuration.md");
    command->callback([options] { explain(*options); });
}

}  // namespace ampturn::cli
