#include <unistd.h>

#include <fmt/core.h>
#include <fmt/format.h>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <memory>

#include "firmware-sim/host/commands.hpp"
#include "firmware-sim/host/pacer.hpp"
#include "firmware-sim/host/serve.hpp"
#include "firmware-sim/site/utc_text.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/secret.hpp"

namespace ampturn::sim::host {
namespace {

struct ServeFlags {
    std::string plan, drill, course, trainee, results, speed = "1", listen = "127.0.0.1", log, start_utc,
                                                       token_file, trainer_token_file;
    std::vector<std::string> host_names;
    std::uint16_t scpi_port = 5025, panel_port = 8025;
    std::uint64_t seed = 1;
    double log_limit_mb = 1000;
    bool serial = false, cold = false, paused = false;
};

void add_flags(CLI::App& app, ServeFlags& flags) {
    app.add_option("--plan", flags.plan,
                   "plan file (TOML): earth, transmitter, battery and sweep table; "
                   "without it the built-in invented practice set")
        ->option_text("PLAN");
    app.add_option("--speed", flags.speed,
                   "virtual seconds a second: 1, 60, any number from 0.1 to 1000, or max")
        ->option_text("1");
    app.add_flag("--paused", flags.paused,
                 "begin with time standing still; the instructor page lets it run or step");
    app.add_option("--scpi-port", flags.scpi_port, "port of the command language, 0 for any free one")
        ->option_text("5025");
    app.add_option("--panel-port", flags.panel_port, "port of the web panel, 0 for any free one")
        ->option_text("8025");
    app.add_option("--listen", flags.listen,
                   "numeric address to listen on; anything but loopback asks for a token")
        ->option_text("127.0.0.1");
    app.add_option("--host-name", flags.host_names, "a further host name the panel answers to")
        ->option_text("NAME");
    app.add_option("--token-file", flags.token_file,
                   "file with the token for --listen; without it one is made and printed")
        ->option_text("FILE");
    app.add_option(
           "--trainer-token-file", flags.trainer_token_file,
           "file with the trainer's token, which sets faults and paces time; without it one is made and printed")
        ->option_text("FILE");
    app.add_flag("--pty", flags.serial, "offer the command language on a pseudo-terminal too");
    app.add_flag("--cold", flags.cold, "begin with battery and loops not connected");
    app.add_option("--seed", flags.seed, "seed of the converters' noise")->option_text("1");
    app.add_option("--start-utc", flags.start_utc,
                   "UTC at which virtual time begins, 2026-06-01T08:00:00Z; default: now")
        ->option_text("TIME");
    app.add_option("--log", flags.log,
                   "session log to write, a new file; default: ampturn-sim-TIME-PID.jsonl here")
        ->option_text("FILE");
    app.add_option("--log-limit", flags.log_limit_mb,
                   "megabytes the log may grow to, 0.1 to 4000; then it ends and the session runs on without")
        ->option_text("1000");
}

/// The token in a file; a new one where no file is given.
std::string token_in(const std::string& file) {
    if (file.empty()) return base::new_token();
    std::string token = base::read_input_file(file, "a file with a token of 16 to 128 letters and digits");
    while (!token.empty() && (token.back() == '\n' || token.back() == '\r')) token.pop_back();
    const bool good =
        token.size() >= 16 && token.size() <= 128 &&
        token.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789") ==
            std::string::npos;
    if (!good) {
        throw base::InputError({.file = file,
                                .position = {1, 1},
                                .key = {},
                                .found = "something else",
                                .allowed = "16 to 128 letters and digits"});
    }
    return token;
}

/// InputError for what is wrong with it.
void check_drill(const std::string& path) {
    const drill::Drill drill = drill::read_drill(path);
    double points = 0;
    for (const drill::ScoreRule& rule : drill.rules) points += rule.points;
    fmt::print(
        "{}: a valid drill: \"{}\", level {}, {} events, {} good steps, {} rules of {:g} points, {:g} min\n",
        path, drill.title, drill.level, drill.events.size(), drill.good.size(), drill.rules.size(), points,
        drill.time_limit_s / 60);
}

void set_course(const ServeFlags& flags, ServeOptions& options) {
    const auto refuse = [](const char* option, const std::string& found, const std::string& allowed) {
        throw base::InputError(
            {.file = option, .position = {}, .key = {}, .found = found, .allowed = allowed});
    };
    if (Pacer::parse_speed(flags.speed) == Pacer::unpaced)
        refuse("--speed", "max", "a number: a drill runs against a clock a person can follow");
    if (!flags.trainee.empty() && !course::good_name(flags.trainee))
        refuse("--trainee", flags.trainee, course::name_form);
    const bool alone = flags.course.empty();
    course::Course course =
        alone ? course::Course::of_file(flags.drill) : course::Course::of_folder(flags.course);
    const std::string first = course.drills().front().drill.id;
    options.course =
        std::make_shared<CourseDesk>(std::move(course), flags.results, options.setup, !flags.plan.empty());
    if (alone) options.setup = options.course->begin(first, flags.trainee);
}

void serve_with(const ServeFlags& flags) {
    ServeOptions options;
    options.fixed_start = !flags.start_utc.empty();
    session::SessionSetup& setup = options.setup;
    setup.seed = flags.seed;
    setup.connected = !flags.cold;
    if (flags.start_utc.empty()) {
        setup.start_utc_s = system_utc_s();
    } else if (!site::parse_utc(flags.start_utc, setup.start_utc_s)) {
        throw base::InputError({.file = "--start-utc",
                                .position = {},
                                .key = {},
                                .found = flags.start_utc,
                                .allowed = "a time such as 2026-06-01T08:00:00Z"});
    }
    setup.plan_path = site::default_plan_name;
    setup.plan_text = site::default_plan();
    if (!flags.plan.empty()) {
        setup.plan_path = flags.plan;
        setup.plan_text = base::read_input_file(flags.plan, "a plan (TOML)");
    }
    options.speed = flags.speed;
    options.paused = flags.paused;
    options.server.address = flags.listen;
    options.server.scpi_port = flags.scpi_port;
    options.server.panel_port = flags.panel_port;
    options.server.host_names = flags.host_names;
    options.server.serial = flags.serial;
    if (!net::is_loopback(flags.listen) || !flags.token_file.empty())
        options.server.token = token_in(flags.token_file);
    options.server.trainer_token = token_in(flags.trainer_token_file);
    if (options.server.trainer_token == options.server.token)
        throw base::InputError({.file = "--trainer-token-file",
                                .position = {},
                                .key = {},
                                .found = "the trainee's token",
                                .allowed = "another one"});
    setup.guarded = !options.server.token.empty();
    if (!flags.drill.empty() || !flags.course.empty()) set_course(flags, options);
    options.log_path = flags.log;
    if (!(flags.log_limit_mb >= 0.1 && flags.log_limit_mb <= 4000))
        throw base::InputError({.file = "--log-limit",
                                .position = {},
                                .key = {},
                                .found = fmt::format("{:g}", flags.log_limit_mb),
                                .allowed = "0.1 to 4000 megabytes"});
    options.log_bytes_max = static_cast<std::uint64_t>(1e6 * flags.log_limit_mb);
    if (options.log_path.empty()) {
        std::string time = site::utc_text_ms(setup.start_utc_s, 0).substr(0, 19);
        std::erase_if(time, [](char c) { return c == '-' || c == ':'; });
        options.log_path = "ampturn-sim-" + time + "Z-" + std::to_string(::getpid()) + ".jsonl";
    }
    serve(options);
}

}  // namespace

void add_serve(CLI::App& app, int&) {
    // The flags stand both before any command (serving is what the program does) and behind `serve`.
    auto flags = std::make_shared<ServeFlags>();
    add_flags(app, *flags);
    CLI::App* command =
        app.add_subcommand("serve", "Run the unit: command language over TCP, web panel, session log");
    add_flags(*command, *flags);
    command->footer(
        "Example:\n  ampturn-sim serve --plan demo/quick.toml --speed 60 --log today.jsonl\n"
        "  lxi scpi --raw -a 127.0.0.1 -p 5025 '*IDN?'");
    app.callback([flags, &app, command] {
        if (app.get_subcommands().empty() || command->parsed()) serve_with(*flags);
    });
}

void add_drill(CLI::App& app, int&) {
    auto flags = std::make_shared<ServeFlags>();
    CLI::App* command =
        app.add_subcommand("drill", "Run a drill on the panel, with instructor page and debrief");
    command->add_option("FILE", flags->drill, "drill (TOML); see demo/drills")->required();
    add_flags(*command, *flags);
    command->add_option("--trainee", flags->trainee, "name of the trainee, for log, debrief and class sheet")
        ->option_text("NAME");
    command->add_option("--results", flags->results, "class sheet (CSV) to add the result to; default: none")
        ->option_text("FILE");
    auto only_check = std::make_shared<bool>(false);
    command->add_flag("--check", *only_check, "read the drill, say what is in it, and end");
    command->footer(
        "Examples:\n  ampturn-sim drill demo/drills/first_start.toml\n"
        "then open the panel in a browser; the trainer opens the instructor page.\n"
        "  ampturn-sim drill --check my_drill.toml");
    command->callback([flags, only_check, &app, command] {
        refuse_options_before(app, *command);
        if (*only_check)
            check_drill(flags->drill);
        else
            serve_with(*flags);
    });
}

void add_course(CLI::App& app, int&) {
    auto flags = std::make_shared<ServeFlags>();
    flags->results = "ampturn-class.csv";
    CLI::App* command = app.add_subcommand(
        "course", "Run a class through a folder of drills: list, again and next in the browser, class sheet");
    command->add_option("FOLDER", flags->course, "folder with drills (*.toml), such as demo/drills")
        ->required();
    add_flags(*command, *flags);
    command->add_option("--results", flags->results, "class sheet (CSV); what is in it already stays")
        ->option_text(flags->results);
    command->footer(
        "Example:\n  ampturn-sim course demo/drills --results monday.csv\n"
        "The course page starts drills; each has a session log of its own. The instructor's link shows the class\n"
        "sheet there, and a form that makes a drill from parts.");
    command->callback([flags, &app, command] {
        refuse_options_before(app, *command);
        serve_with(*flags);
    });
}

}  // namespace ampturn::sim::host
