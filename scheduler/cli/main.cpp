#include "scheduler/cli/command_line.hpp"

int main(int argc, char** argv) { return ampturn::cli::run(argc, argv); }
