#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/cli/commands.hpp"
#include "scheduler/plan/config_reference.hpp"

namespace ampturn::cli {

namespace {

struct ExplainOptions {
    std::string key;
    bool markdown = false;
};

void explain(const ExplainOptions& options) {
    std::string text;
    if (options.markdown)
        text = plan::configuration_markdown();
    else
        text = options.key.empty() ? plan::explain_all() : plan::explain_key(options.key);
    fmt::print("{}", text);
}

}  // namespace

void add_explain(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<ExplainOptions>();
    CLI::App* command = app.add_subcommand("explain", "Explains the keys of a plan file");
    auto* key =
        command->add_option("KEY", options->key, "Full key or table; without it, all keys are listed");
    command->add_flag("--markdown", options->markdown, "The whole reference page")->excludes(key);
    command->footer(
        "Examples:\n  ampturn explain\n  ampturn explain driver.current_limit\n  ampturn explain battery");
    command->callback([options] { explain(*options); });
}

}  // namespace ampturn::cli
