// Writes seeded random scripts of inputs: random_script FIRST_SEED COUNT. Faults, wrong moments and damaged
// tables included; every script ends with an attempt to come back to standby.

#include <cstdio>
#include <cstdlib>

#include "tests/scheduler/core/random_table.hpp"

namespace {

using ampturn::core::test::Draws;

template <std::size_t N>
const char* one_of(Draws& draws, const char* const (&list)[N]) {
    return list[draws.below(N)];
}

void print_steps(Draws& draws) {
    const std::uint32_t count = 1 + draws.below(4);
    for (std::uint32_t i = 0; i < count; ++i) {
        const auto step = ampturn::core::test::random_step(draws);
        // Dwells of 0.1 to 3 s, so that a script gets through its steps.
        const std::uint32_t divisor = 2 * (100 + draws.below(200'000));
        const std::uint32_t cycles = 1 + (2'400'000 + draws.below(72'000'000)) / divisor;
        const std::uint32_t flags = draws.below(8) == 0 ? 1 : 0;
        std::printf("step %u %u %u %u %u %u %u %u %u %u\n", static_cast<unsigned>(step.loop), step.tap,
                    step.capacitor, divisor, cycles, step.current_ma_peak, 1 + draws.below(300),
                    step.settle_ticks, step.gap_ticks, flags);
    }
    std::printf("table %u %u\n", draws.below(1'000'000), 1 + draws.below(3));
    switch (draws.below(10)) {
        case 0:
            std::printf("load flip %u\n", draws.below(300));
            break;
        case 1:
            std::printf("load cut %u\n", 1 + draws.below(40));
            break;
        default:
            std::printf("load\n");
    }
}

void print_spoiled_reading(Draws& draws) {
    static constexpr const char* spoiled[] = {"current_a_ma 46000",
                                              "current_a_ma 60",
                                              "current_b_ma 30000",
                                              "resistance_a_mohm 150000",
                                              "resistance_b_mohm 3",
                                              "bus_mv 100",
                                              "battery_mv 20500",
                                              "battery_mv 22500",
                                              "winding_mdeg_c 95000",
                                              "winding_mdeg_c 125000",
                                              "electronics_mdeg_c 70000",
                                              "electronics_mdeg_c 90000",
                                              "supply 0",
                                              "supply 2",
                                              "clock_ok 0",
                                              "table_store_ok 0",
                                              "readings 0"};
    std::printf("set %s\nread\n", one_of(draws, spoiled));
}

void print_all_mended() {
    std::printf(
        "set current_a_ma -1\nset current_b_ma -1\nset resistance_a_mohm 900\nset resistance_b_mohm 900\n"
        "set bus_mv 25000\nset battery_mv 25000\nset winding_mdeg_c 20000\nset electronics_mdeg_c 20000\n"
        "set supply 1\nset clock_ok 1\nset table_store_ok 1\nset readings 1\nread\n");
}

void print_script(std::uint64_t seed) {
    static constexpr const char* controls[] = {
        "arm", "disarm", "go", "stop", "emergency_stop", "emergency_reset", "acknowledge"};
    Draws draws(seed);
    std::printf("script random_%u\n", static_cast<unsigned>(seed));
    if (draws.below(4) == 0) std::printf("unit start_mark %u\n", draws.below(3));
    if (draws.below(4) == 0)
        std::printf("unit clock_error_ppb %d\n", static_cast<int>(draws.below(20'000)) - 10'000);
    if (draws.below(4) == 0) std::printf("unit warning_ms %u\n", 1 + draws.below(8'000));
    print_steps(draws);
    std::printf("read\nwait 1s\nmark %u\n", 1'800'000'000 + draws.below(1'000));
    if (draws.below(10) != 0) std::printf("control arm\ncontrol go\nwait %ums\n", draws.below(9'000));
    const std::uint32_t events = 10 + draws.below(30);
    for (std::uint32_t i = 0; i < events; ++i) {
        switch (draws.below(12)) {
            case 0:
                print_spoiled_reading(draws);
                break;
            case 1:
                print_all_mended();
                break;
            case 2:
                std::printf("control %s\n", one_of(draws, controls));
                break;
            case 3:
                std::printf("wait %u\n", draws.below(100'000));
                break;
            case 4:
                std::printf("wait %ums\n", draws.below(3'000));
                break;
            case 5:
                std::printf("wait %us\n", draws.below(20));
                break;
            case 6:
                std::printf(draws.below(6) == 0 ? "late %u\n" : "wait %u\n", draws.below(3'000));
                break;
            case 7:
                std::printf(draws.below(6) == 0 ? "back 1\n" : "read\n");
                break;
            case 8:
                print_all_mended();
                std::printf("control emergency_reset\ncontrol acknowledge\nwait 2s\n");
                break;
            case 9:
            case 10:
                std::printf("control arm\ncontrol go\nwait %ums\n", 5'000 + draws.below(2'000));
                break;
            default:
                if (draws.below(4) == 0)
                    print_steps(draws);
                else
                    std::printf("read\n");
        }
    }
    print_all_mended();
    std::printf("control emergency_reset\ncontrol stop\nwait 10s\ncontrol acknowledge\nwait 130s\n");
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) return 2;
    const std::uint64_t first = std::strtoull(argv[1], nullptr, 10),
                        count = std::strtoull(argv[2], nullptr, 10);
    for (std::uint64_t i = 0; i < count; ++i) print_script(first + i);
    return 0;
}
