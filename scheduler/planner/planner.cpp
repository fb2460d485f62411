// The planner as a page or Node calls it: one command after the other, on files in memory.
#include <emscripten.h>

#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "scheduler/cli/command_line.hpp"

/// Runs a command: its words as a JSON list of strings, the program's name first. Returns the exit code; what it says is then in
/// the files /said (standard output) and /complained (standard error).
extern "C" EMSCRIPTEN_KEEPALIVE int ampturn_command(const char* words_json) {
    auto words = nlohmann::json::parse(words_json).get<std::vector<std::string>>();
    std::vector<char*> pointers;
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    if (!std::freopen("/said", "w", stdout) || !std::freopen("/complained", "w", stderr)) return 3;
    const int code = ampturn::cli::run(static_cast<int>(words.size()), pointers.data());
    std::fflush(stdout);
    std::fflush(stderr);
    return code;
}
