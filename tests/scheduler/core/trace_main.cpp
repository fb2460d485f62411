// The host's counterpart of firmware-sim/target/trace_main.cpp: trace_main SCRIPTS TRACE.

#include <cstdio>
#include <fstream>
#include <string>

#include "scheduler/run/trace_script.hpp"

int main(int argc, char** argv) {
    if (argc != 3) return 2;
    std::ifstream scripts(argv[1], std::ios::binary);
    std::ofstream trace(argv[2], std::ios::binary);
    if (!scripts || !trace) return 6;
    ampturn::run::TraceScript runner(
        [](void* out, std::string_view text) { *static_cast<std::ofstream*>(out) << text << '\n'; }, &trace);
    int number = 0;
    for (std::string line; std::getline(scripts, line);) {
        ++number;
        const ampturn::run::ScriptFault fault = runner.line(line);
        if (!fault.bad) continue;
        std::fprintf(stderr, "%s:%d: found %.*s, allowed %.*s\n", argv[1], number,
                     static_cast<int>(fault.found.size()), fault.found.data(),
                     static_cast<int>(fault.allowed.size()), fault.allowed.data());
        return 4;
    }
    return trace.flush() ? 0 : 7;
}
