// libFuzzer target: any byte stream through framer, lexer, command tree and parameter reading.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "firmware-sim/scpi/framer.hpp"
#include "firmware-sim/scpi/parameter.hpp"
#include "firmware-sim/scpi/status.hpp"
#include "firmware-sim/scpi/tree.hpp"

using namespace ampturn::sim::scpi;

namespace {

const Tree& tree() {
    static const Tree known = [] {
        Tree t;
        int id = 0;
        for (const char* pattern : {"*CLS", "*IDN?", "*ESE", "[SOURce]:LIST:FREQuency",
                                    "[SOURce]:LIST:FREQuency?", "[SOURce]:LIST:IMAGe", "SYSTem:ERRor[:NEXT]?",
                                    "STATus:OPERation[:EVENt]?", "MEASure:VOLTage[:DC]?", "TRIGger:SOURce"}) {
            t.add(pattern, id++);
        }
        return t;
    }();
    return known;
}

void demand(bool condition) {
    if (!condition) std::abort();
}

void read_all_ways(const Command& command) {
    constexpr Limits limits{0, 1e6, 1, PhysicalUnit::hertz, "x"};
    for (int way = 0; way < 6; ++way) {
        try {
            Parameters parameters(command.data);
            if (way == 0) demand(parameters.number(limits) <= 1e6);
            if (way == 1) parameters.numbers(limits, 64);
            if (way == 2) parameters.integer(0, 255, "x");
            if (way == 3) parameters.boolean();
            if (way == 4) demand(definite_block(parameters.block()).front() == '#');
            if (way == 5) parameters.choice({"IMMediate", "BUS"});
            parameters.end();
        } catch (const Refused& refused) {
            demand(format_error(refused.error).front() == '-');
        }
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    Framer framer;
    Status status;
    // Pieces of changing length, as a socket gives them.
    for (std::size_t at = 0, step = 1; at < size; at += step, step = step % 97 + 1) {
        framer.feed({reinterpret_cast<const char*>(bytes) + at, std::min(step, size - at)});
        while (auto frame = framer.next()) {
            if (frame->overrun) status.report(*frame->overrun);
            const Message message = lex(frame->message);
            demand(message.commands.size() <= units_per_message_max);
            Tree::Position position;
            for (const Command& command : message.commands) {
                tree().find(command, position);
                read_all_ways(command);
            }
            if (message.error) status.report(*message.error);
        }
        demand(framer.held() <= Framer::message_bytes_max);
    }
    demand(status.errors().size() <= ErrorQueue::capacity);
    return 0;
}
