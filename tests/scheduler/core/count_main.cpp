// The host's counterpart of tests/scheduler/core/target_count_main.cpp, for callgrind: count_main NAME runs
// one event with the collection switched on around it; without a name it lists them.

#include <valgrind/callgrind.h>

#include <cstdio>
#include <string_view>

#include "tests/scheduler/core/counted_events.hpp"

int main(int argc, char** argv) {
    using ampturn::core::test::Counted;
    for (const auto& event : ampturn::core::test::counted_events) {
        if (argc < 2) {
            std::puts(event.name);
            continue;
        }
        if (std::string_view(argv[1]) != event.name) continue;
        static Counted unit;
        event.prepare(unit);
        CALLGRIND_TOGGLE_COLLECT;
        event.call(unit);
        CALLGRIND_TOGGLE_COLLECT;
        return event.category_0 && unit.sequencer.drive().on ? 1 : 0;
    }
    return argc < 2 ? 0 : 2;
}
