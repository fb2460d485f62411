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
#include "scheduler/field_request/ground_list.hpp"
#include "scheduler/field_request/point_rows.hpp"

namespace ampturn::cli {

using namespace arguments;

namespace {

constexpr std::size_t request_bytes_max = 1'000'000'000;

struct FieldsOptions {
    std::string request, out, format = "json", grounds, part;
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
        bytes_ += text.size();
        if (file_)
            file_->write(text);
        else
            std::fwrite(text.data(), 1, text.size(), stdout);
    }
    void commit() {
        if (file_) file_->commit();
    }
    std::size_t bytes() const { return bytes_; }

  private:
    std::size_t bytes_ = 0;
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
    if (format == PointFormat::float64 || (points.list && !options.out.empty())) {
        const std::string data = std::filesystem::path(options.out).filename().string();
        base::write_output_file(options.out + ".json",
                                field_request::describe_points(points, format, data, output.bytes()));
    }
    output.commit();
}

std::optional<field_request::GroundList> grounds_of(const FieldsOptions& options) {
    if (options.grounds.empty()) return std::nullopt;
    return field_request::read_grounds(
        base::read_input_file(options.grounds, "grounds as JSON, one a line", request_bytes_max),
        base::shown_path(options.grounds), options.part, "--part");
}

void run_fields(const FieldsOptions& options, ExitCode& result) {
    const unsigned threads = base::thread_count(options.threads);
    auto request = std::make_optional<field_request::FieldsRequest>(
        base::read_input_file(options.request, "a JSON file of field cases", request_bytes_max),
        base::shown_path(options.request));
    if (!options.check) {
        if (const auto points = request->points(grounds_of(options))) {
            request.reset();  // its text and tree
            return answer_points(*points, options, threads);
        }
        if (!options.grounds.empty())
            throw base::InputError({.file = "--grounds",
                                    .position = {},
                                    .key = {},
                                    .found = "a list of grounds for cases",
                                    .allowed = "points by lists, which every ground goes with"});
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
            "JSON file: one case, lists of cases, or points by lists (docs/physics.md); - for standard input")
        ->required();
    command->add_option("--out", options->out, "File for the answer instead of standard output");
    command->add_option("--format", options->format, "Of points: json, csv or float64 (FILE and FILE.json)")
        ->check(CLI::IsMember({"json", "csv", "float64"}))
        ->option_text("json");
    CLI::Option* grounds = command->add_option(
        "--grounds", options->grounds,
        "Of points: grounds from this file instead, JSON as in `model`, one a line; FILE.json beside --out FILE says what is in it");
    command
        ->add_option(
            "--part", options->part,
            "FIRST:COUNT: only these lines of --grounds, after the FIRST before them; see `ampturn merge`")
        ->needs(grounds);
    command->add_option("--threads", options->threads, "Threads (results do not depend on it; 0: all)")
        ->option_text("0");
    command
        ->add_flag("--check", options->check,
                   "Compare with the reference outputs in the request; exit with 1 on a miss")
        ->excludes(grounds);
    command->footer(
        "The answer repeats the request with fields, method and error estimates computed here.\n\n"
        "A request for points lists grounds, frequencies, sources and receivers; its answer has a row for each of each.\n\n"
        "Examples:\n  ampturn fields tests/reference/em/cases_open.json --check\n"
        "  ampturn fields request.json --out answer.json\n"
        "  ampturn fields points.json --grounds grounds.jsonl --part 200:100 --format float64 --out part-200.f64");
    command->callback([options, &result] { run_fields(*options, result); });
}

}  // namespace ampturn::cli
