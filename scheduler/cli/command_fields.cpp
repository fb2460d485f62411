#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <CLI/Validators.hpp>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/cli/commands.hpp"
#include "scheduler/field_request/fields_request.hpp"

namespace ampturn::cli {

namespace {

constexpr std::size_t request_bytes_max = 1'000'000'000;

struct FieldsOptions {
    std::string request, out, format = "json";
    bool check = false;
    unsigned threads = 0;
};

/// Into a file, that appears whole or not at all, or on standard output.
class Output {
  public:
    explicit Output(const std::string& path) {
        if (!path.empty()) file_.emplace(path);
    }
    void write(std::string_view text) {
        if (file_)
            file_->write(text);
        else
            std::fwrite(text.data(), 1, text.size(), stdout);
    }
    void commit() {
        if (file_) file_->commit();
    }

  private:
    std::optional<base::OutputFile> file_;
};

void answer_points(const field_request::FieldPoints& points, const FieldsOptions& options, unsigned threads) {
    using field_request::PointFormat;
    const PointFormat format = options.format == "csv"       ? PointFormat::csv
                               : options.format == "float64" ? PointFormat::float64
                                                             : PointFormat::json;
    if (format == PointFormat::float64 && options.out.empty())
        throw base::InputError({.file = "--format",
                                .position = {},
                                .key = {},
                                .found = "float64 without --out",
                                .allowed = "--out FILE; FILE.json says what is in it"});
    Output output(options.out);
    field_request::write_points(points, format, threads, [&](std::string_view text) { output.write(text); });
    if (format == PointFormat::float64) {
        const std::string data = std::filesystem::path(options.out).filename().string();
        base::write_output_file(options.out + ".json", field_request::describe_points(points, data));
    }
    output.commit();
}

void run(const FieldsOptions& options, ExitCode& result) {
    const unsigned threads = base::thread_count(options.threads);
    auto request = std::make_optional<field_request::FieldsRequest>(
        base::read_input_file(options.request, "a JSON file of field cases", request_bytes_max),
        base::shown_path(options.request));
    if (!options.check) {
        if (const auto points = request->points()) {
            request.reset();  // its text and tree
            return answer_points(*points, options, threads);
        }
        if (options.format != "json")
            throw base::InputError({.file = "--format",
                                    .position = {},
                                    .key = {},
                                    .found = options.format + " for cases",
                                    .allowed = "json; csv and float64 are for points by lists"});
    }
    const field_request::FieldsAnswer answer = std::move(*request).answer(threads);
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
    command
        ->add_option(
            "REQUEST", options->request,
            "JSON: one case, lists of cases, or points by lists (docs/physics.md); - for standard input")
        ->required();
    command->add_option("--out", options->out, "File for the answer instead of standard output");
    command->add_option("--format", options->format, "Of points: json, csv or float64 (FILE and FILE.json)")
        ->check(CLI::IsMember({"json", "csv", "float64"}))
        ->option_text("json");
    command->add_option("--threads", options->threads, "Threads (results do not depend on it; 0: all)")
        ->option_text("0");
    command->add_flag("--check", options->check,
                      "Compare with the reference outputs in the request; exit with 1 on a miss");
    command->footer(
        "The answer repeats the request with fields, method and error estimates computed here.\n\n"
        "A request for points lists grounds, frequencies, sources and receivers; its answer has a row for each of each.\n\n"
        "Examples:\n  ampturn fields tests/reference/em/cases_open.json --check\n"
        "  ampturn fields request.json --out answer.json");
    command->callback([options, &result] { run(*options, result); });
}

}  // namespace ampturn::cli
