#include "firmware-sim/host/commands.hpp"

int main(int argc, char** argv) { return ampturn::sim::host::run_command_line(argc, argv); }
