#pragma once

#include <unistd.h>

#include <string>

#include "tests/run_program.hpp"

/// Debian's circuit simulator.
namespace ampturn::test {

inline const char* ngspice_path() { return "/usr/bin/ngspice"; }
inline bool has_ngspice() { return ::access(ngspice_path(), X_OK) == 0; }

/// Runs a netlist that ends by itself, for at most a minute.
inline ProgramResult run_ngspice(const ScratchDirectory& scratch, const std::string& netlist) {
    return run_program("/usr/bin/timeout",
                       {"60", ngspice_path(), "-b", scratch.write("circuit.cir", netlist)});
}

}  // namespace ampturn::test
