// Counts the instructions of calls into the core on a Cortex-M4, for an emulator that advances its clock by
// 1024 ns with every instruction (qemu -icount shift=10): the system timer then counts 25.6 ticks of 25 MHz for each.

#include <array>
#include <cstdint>
#include <new>

#include "firmware-sim/target/semihosting.hpp"
#include "scheduler/run/trace_line.hpp"
#include "tests/scheduler/core/counted_events.hpp"

namespace {

using ampturn::core::test::Counted;
using ampturn::core::test::CountedEvent;

struct SystemTimer {  // Armv7-M Architecture Reference Manual, B3.3
    volatile std::uint32_t control, reload, value;
};
SystemTimer& timer() { return *reinterpret_cast<SystemTimer*>(0xE000E010u); }
constexpr std::uint32_t timer_mask = 0xFFFFFF;

std::uint32_t instructions(std::uint32_t from, std::uint32_t to) {
    return ((from - to) & timer_mask) * 5 / 128;  // 25.6 ticks each; the timer counts down
}

/// Not inlined, so that calling nothing and calling an event cost the same around the call.
[[gnu::noinline]] std::uint32_t count(void (*call)(Counted&), Counted& unit) {
    const std::uint32_t from = timer().value;
    call(unit);
    const std::uint32_t to = timer().value;
    return instructions(from, to);
}

alignas(Counted) std::array<unsigned char, sizeof(Counted)> place;

}  // namespace

int main() {
    std::array<char, 1'024> words_buffer{};
    std::array<const char*, 1> names{};
    if (!ampturn::target::command_line(words_buffer, names)) return 5;
    ampturn::target::HostFile out = ampturn::target::HostFile::open(names[0], true);
    if (!out.is_open()) return 6;
    timer().reload = timer_mask;
    timer().value = 0;
    timer().control = 5;  // on, processor clock
    Counted* unit = new (place.data()) Counted();
    const std::uint32_t nothing = count([](Counted&) {}, *unit);
    const std::uint32_t hundred = count([](Counted&) { asm volatile(".rept 100\n nop\n .endr"); }, *unit);
    ampturn::run::TraceLine check;
    check.word("hundred_nops 0").number(std::uint64_t{hundred - nothing}).word("\n");
    if (!out.write(check.text())) return 7;
    for (const CountedEvent& event : ampturn::core::test::counted_events) {
        unit = new (place.data()) Counted();
        event.prepare(*unit);
        const std::uint32_t counted = count(event.call, *unit) - nothing;
        if (event.category_0 && unit->sequencer.drive().on) return 8;
        ampturn::run::TraceLine line;
        line.word(event.name)
            .number(std::uint64_t{event.category_0})
            .number(std::uint64_t{counted})
            .word("\n");
        if (!out.write(line.text())) return 7;
    }
    return out.close() ? 0 : 7;
}
