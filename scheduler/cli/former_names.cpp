#include "scheduler/cli/former_names.hpp"

#include <fmt/format.h>

#include <string_view>

namespace ampturn::cli {

namespace {

struct Renamed {
    std::string_view then, now;
};
constexpr Renamed commands[] = {{"lines", "frequencies"}, {"rig", "transmitter"}};
constexpr Renamed flags[] = {{"--stand", "--site"}};

std::string is_called(const Renamed& renamed) {
    return fmt::format("`{}` is called `{}` now; ", renamed.then, renamed.now);
}

}  // namespace

std::string former_names_used(int argc, char** argv) {
    std::string out;
    for (const Renamed& command : commands)
        if (argc > 1 && argv[1] == command.then) out += is_called(command);
    for (int i = 1; i < argc; ++i) {
        const std::string_view word = argv[i], name = word.substr(0, word.find('='));
        for (const Renamed& flag : flags)
            if (name == flag.then) out += is_called(flag);
    }
    return out;
}

}  // namespace ampturn::cli
