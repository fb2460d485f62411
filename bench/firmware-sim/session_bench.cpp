// What the simulated unit costs: reading a message, answering one, and virtual time while the loop is
// energised. The label gives a checksum of the result.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "firmware-sim/scpi/lexer.hpp"
#include "firmware-sim/session/session.hpp"
#include "scheduler/core/crc32.hpp"

using namespace ampturn;

namespace {

sim::session::SessionSetup practice() {
    sim::session::SessionSetup setup;
    setup.start_utc_s = 1780300800;
    setup.plan_path = sim::site::default_plan_name;
    setup.plan_text = sim::site::default_plan();
    return setup;
}

struct Bench {
    std::string answers;
    std::uint64_t record_count = 0;
    sim::session::Session session{
        practice(),
        "",
        {.record = [this](const sim::record::Record&) { ++record_count; },
         .answer = [this](std::uint32_t, const std::string& text, bool) { answers = text; },
         .send_to_panel = {},
         .broadcast = {},
         .pace = {}}};
    void send(const char* text) {
        session.take(session.now(), {sim::record::SessionInput::Kind::message, 1, "bench#1",
                                     sim::record::Role::trainer, text});
    }
    void run_to(core::State state) {
        while (session.site().state() != state) session.run_until(session.next_due());
    }
    Bench() {
        session.take(session.now(),
                     {sim::record::SessionInput::Kind::open, 1, "bench#1", sim::record::Role::trainer, ""});
        run_to(core::State::standby);
    }
};

std::string checksum(const std::string& text) {
    return fmt::format("{:08x}",
                       core::crc32({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()}));
}

void lex_message(benchmark::State& state) {
    const std::string line =
        "LIST:FREQ 96,384 HZ,1.5KHZ;CURR 800MA;DWEL 500 MS;:STAT:OPER:ENAB 8;*SRE 128;*STB?";
    std::size_t units = 0;
    for (auto _ : state) units = sim::scpi::lex(line).commands.size();
    state.SetBytesProcessed(static_cast<std::int64_t>(line.size()) * state.iterations());
    state.SetLabel(fmt::format("{} units", units));
}
BENCHMARK(lex_message);

void answer_query(benchmark::State& state) {
    Bench bench;
    for (auto _ : state) bench.send("SYST:STAT?;:LIST:FREQ?");
    state.SetItemsProcessed(state.iterations());
    state.SetLabel(checksum(bench.answers));
}
BENCHMARK(answer_query);

/// One virtual second of a long dwell, plant, readings and records included.
void virtual_second_sending(benchmark::State& state) {
    Bench bench;
    bench.send("LIST:FREQ 24;CURR 1;DWEL 86400;LOOP A;TAP 3;CAP 0;COUN 60000");
    bench.send("ARM;INIT");
    bench.run_to(core::State::sending);
    core::Instant t = bench.session.now();
    for (auto _ : state) {
        t = t + core::Ticks{std::uint64_t{bench.session.clock_hz()}};
        bench.session.run_until(t);
    }
    state.counters["virtual_s_per_s"] =
        benchmark::Counter(static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
    state.SetLabel(
        std::string(bench.session.site().state() == core::State::sending ? "sending" : "not sending"));
}
BENCHMARK(virtual_second_sending);

}  // namespace
