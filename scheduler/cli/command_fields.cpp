#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/field_request/fields_request.hpp"

namespace ampturn::cli {

namespace {

constexpr std::size_t request_bytes_max = 1'000'000'000;

struct FieldsOptions {
    std::string request, out;
    bool check = false;
};

void run(const FieldsOptions& options, ExitCode& result) {
    const field_request::FieldsAnswer answer = field_request::answer_fields_request(
        base::read_input_file(options.request, "a JSON file of field cases", request_bytes_max),
        options.request);
    if (!options.out.empty()) base::write_output_file(options.out, answer.json);
    if (options.check) {
        fmt::print("{}", field_request::describe_comparisons(answer));
        if (!field_request::all_hold(answer)) result = ExitCode::plan_fails;
    } else if (options.out.empty()) {
        fmt::print("{}", answer.json);
    }
}

}  // namespace

void add_fields(CLI::App& app, ExitCode& result) {
    auto options = std::make_shared<FieldsOptions>();
    CLI::App* command =
        app.add_subcommand("fields", "Computes fields of loops and dipoles over a layered earth");
    command->add_option("REQUEST", options->request, "JSON: one case, or lists of cases (docs/physics.md)")
        ->required();
    command->add_option("--out", options->out, "File for the answer instead of standard output");
    command->add_flag("--check", options->check,
                      "Compare with the reference outputs in the request; exit with 1 on a miss");
    command->footer(
        "The answer repeats the request with fields, method and error estimates computed here.\n\n"
        "Examples:\n  ampturn fields tests/reference/em/cases_open.json --check\n"
        "  ampturn fields request.json --out answer.json");
    command->callback([options, &result] { run(*options, result); });
}

}  // namespace ampturn::cli
