#include "firmware-sim/host/serve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <memory>
#include <system_error>
#include <thread>
#include <utility>

#include "firmware-sim/host/pacer.hpp"
#include "firmware-sim/host/simulation_loop.hpp"
#include "firmware-sim/net/reachable_addresses.hpp"
#include "scheduler/base/input_error.hpp"

namespace ampturn::sim::host {
namespace {

void say(const std::string& line) {
    std::fputs((line + "\n").c_str(), stdout);
    std::fflush(stdout);
}

}  // namespace

std::int64_t system_utc_s() {
    return std::chrono::duration_cast<std::chrono::seconds>(
               std::chrono::system_clock::now().time_since_epoch())
        .count();
}

void serve(const ServeOptions& options) {
    Pacer::parse_speed(options.speed);
    boost::asio::io_context io(1);
    net::RequestQueue requests;
    std::unique_ptr<net::Server> server;
    try {
        server = std::make_unique<net::Server>(io, requests, options.server);
    } catch (const std::system_error& error) {
        // what() of a system_error is "address:port: reason"
        throw base::InputError(
            {.file = {},
             .position = {},
             .key = "listen",
             .found = error.what(),
             .allowed = "an address of this machine and a free port (--scpi-port, --panel-port)"});
    }
    const auto log_trouble = [&](const std::system_error& error) {
        return base::InputError({.file = "--log",
                                 .position = {},
                                 .key = {},
                                 .found = error.what(),
                                 .allowed = "a new file in a folder that can be written, with space left"});
    };
    std::unique_ptr<SimulationLoop> simulation;
    try {
        simulation = std::make_unique<SimulationLoop>(options, *server, requests);
    } catch (const std::system_error& error) {
        throw log_trouble(error);
    }
    boost::asio::signal_set signals(io, SIGTERM, SIGINT, SIGHUP);
    signals.async_wait([&](const boost::system::error_code& error, int sign) {
        if (!error) requests.quit(sign == SIGINT ? "SIGINT" : sign == SIGHUP ? "SIGHUP" : "SIGTERM");
    });
    server->start();

    // Of all addresses of the machine, one that others can reach.
    const std::vector<std::string> reachable = net::reachable_addresses(options.server.address);
    const std::string& address = reachable.front();
    const std::string host = address.find(':') != std::string::npos ? "[" + address + "]" : address;
    const std::string query = options.server.token.empty() ? "" : "?token=" + options.server.token;
    say(fmt::format("scpi {}:{}", host, server->scpi_port()));
    say(fmt::format("panel http://{}:{}/{}", host, server->panel_port(), query));
    say(fmt::format("instructor http://{}:{}/instructor?token={}", host, server->panel_port(),
                    options.server.trainer_token));
    if (options.course) say(fmt::format("course http://{}:{}/course{}", host, server->panel_port(), query));
    if (!server->serial_path().empty()) say("serial " + server->serial_path());
    say("log " + options.log_path);

    auto work = boost::asio::make_work_guard(io);
    std::thread sockets([&io] { io.run(); });
    std::exception_ptr trouble;
    try {
        simulation->run();
    } catch (...) {
        trouble = std::current_exception();
    }
    server->stop_accepting();
    // What is queued for the clients goes out; nobody can hold the end up for longer than this.
    std::this_thread::sleep_for(std::chrono::milliseconds(200));
    io.stop();
    sockets.join();
    if (trouble) {
        try {
            std::rethrow_exception(trouble);
        } catch (const std::system_error& error) {
            throw log_trouble(error);
        }
    }
    say("closed");
}

}  // namespace ampturn::sim::host
