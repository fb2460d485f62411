#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <algorithm>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <string>

#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/arguments/terminal.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/new_plan/plan_text.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

struct NewOptions {
    std::string path, answers_path;
    std::map<std::string, std::string> flags;  // by question
    bool overwrite = false, defaults = false;
};

std::string flag_of(const std::string& question) {
    std::string flag = "--" + question;
    std::replace(flag.begin(), flag.end(), '_', '-');
    return flag;
}

/// A line typed at a question; nothing typed leaves it unanswered.
void ask(const plan::file::KeyInfo& question, new_plan::GivenAnswers& answers) {
    fmt::print("{} {} ({}) [{}]: ", question.name, question.help, question.allowed, question.default_words());
    std::fflush(stdout);
    std::string line;
    if (!std::getline(std::cin, line))
        throw base::InputError(
            {"", {}, question.name, "the end of the answers", "an answer, or an empty line for the default"});
    if (line.empty())
        answers.take_back(question.name);
    else
        answers.give(question.name, line, "answer");
}

/// Every question without an answer, then those whose answers will not do, until all do.
void ask_all(new_plan::GivenAnswers& answers) {
    const auto infos = new_plan::questions().infos();
    const auto complain = [&](const std::string& name) {
        bool named = false;
        for (const base::InputProblem& problem : answers.problems()) {
            if (!name.empty() && problem.key != name) continue;
            fmt::print("{}\n", base::text_of(problem));
            named = true;
        }
        return named;
    };
    for (const auto& info : infos)
        if (!answers.given(info.name)) {
            do ask(info, answers);
            while (answers.given(info.name) && complain(info.name));
        }
    for (auto problems = answers.problems(); !problems.empty(); problems = answers.problems()) {
        fmt::print("{}\n", base::text_of(problems[0]));
        const auto info = std::find_if(infos.begin(), infos.end(),
                                       [&](const auto& i) { return problems[0].key.starts_with(i.name); });
        if (info == infos.end()) throw base::InputError(problems);  // a key of the file that is no question
        ask(*info, answers);
    }
}

void make(const NewOptions& options) {
    if (!options.overwrite && std::filesystem::exists(options.path))
        throw base::InputError(
            {options.path, {}, "", "a file that is there already", "a new name, or --overwrite"});
    new_plan::GivenAnswers answers =
        options.answers_path.empty()
            ? new_plan::GivenAnswers()
            : new_plan::GivenAnswers(base::read_input_file(options.answers_path, "answers (TOML)"),
                                     base::shown_path(options.answers_path));
    for (const auto& [question, text] : options.flags)
        if (!text.empty()) answers.give(question, text, flag_of(question));
    if (!options.defaults && is_terminal(stdin) && is_terminal(stdout)) ask_all(answers);
    base::write_output_file(options.path, new_plan::plan_text(answers));
    fmt::print("{}: a plan made by answers; next: ampturn check {}\n", options.path, options.path);
}

}  // namespace

void add_new(CLI::App& app, ExitCode&) {
    auto options = std::make_shared<NewOptions>();
    CLI::App* command = app.add_subcommand("new", "Writes a first plan from the answers to a few questions");
    command->add_option("FILE", options->path, "Plan file to write")->required();
    command->add_option("--answers", options->answers_path,
                        "TOML file with answers, by the names of the questions; - for standard input");
    command->add_flag("--overwrite", options->overwrite, "Replace FILE if it is there");
    command->add_flag("--defaults", options->defaults, "Ask nothing: what is not given takes its default");
    for (const plan::file::KeyInfo& info : new_plan::questions().infos())
        command->add_option(flag_of(info.name), options->flags[info.name],
                            fmt::format("{} {}; default: {}", info.help, info.allowed, info.default_words()));
    command->footer(
        "Asks on a terminal what no flag and no file of answers gave; elsewhere it asks nothing, takes the defaults "
        "and says so in the file.\n\n"
        "Examples:\n  ampturn new first.toml\n"
        "  ampturn new first.toml --defaults --resistivity-ohm-m 100,400 --thickness-m 30 --mains-hz 60");
    command->callback([options] { make(*options); });
}

}  // namespace ampturn::cli
