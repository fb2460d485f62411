// Long runs: exact time over many tables, random events by the million, ten years of days.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "tests/scheduler/core/random_table.hpp"
#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace ampturn::core {
namespace soak_test {

using test::SequencerFixture;

/// Runs one armed sweep and gives back when each step started and when each dwell began and ended.
struct StepTimes {
    std::vector<Instant> starts, dwell_starts, dwell_ends;
    Instant end;
};
StepTimes run_sweep(SequencerFixture& unit) {
    StepTimes times;
    unit.control(Control::arm);
    unit.control(Control::go);
    Phase last = Phase::none;
    while (unit.sequencer.state() == State::warning || unit.sequencer.state() == State::sending) {
        // One call a deadline, with a reading after it and as often as the watchdog wants.
        const Instant due = unit.sequencer.deadline();
        unit.now = due == unit.sequencer.silent_at() ? Instant{due.ticks_since_power_on() - 1} : due;
        unit.sequencer.advance(unit.now);
        const Progress p = unit.sequencer.progress();
        if (p.phase != last) {
            if (last == Phase::dwell) times.dwell_ends.push_back(unit.now);
            if (p.phase == Phase::dwell) times.dwell_starts.push_back(unit.now);
            if (last != Phase::breaking && (p.phase == Phase::breaking || p.phase == Phase::settling))
                times.starts.push_back(p.step_start);
            last = p.phase;
        }
        unit.measure();
    }
    times.end = unit.sequencer.state_since();
    return times;
}

TEST(Soak, DwellsAreExactAndNothingDriftsInTenThousandRandomTables) {
    Config config;
    config.watchdog_ms = 4'000'000;
    config.open_loop_ma = 51;
    test::Draws draws(20'261'125);
    for (int i = 0; i < 10'000; ++i) {
        SequencerFixture unit(config);
        Table table = test::random_table(draws, 1 + draws.below(draws.below(16) == 0 ? steps_max : 8));
        for (std::size_t s = 0; s < table.step_count; ++s)
            table.steps[s].current_ma_peak = std::max(table.steps[s].current_ma_peak, 60u);
        ASSERT_EQ(unit.load(table), TableCheck{});
        unit.to_standby();
        const StepTimes times = run_sweep(unit);
        ASSERT_EQ(unit.sequencer.state(), State::standby) << "table " << i;
        ASSERT_EQ(times.starts.size(), table.step_count);
        Instant expected = Instant{24'000'000} + Ticks{120'000'000};
        for (std::size_t s = 0; s < table.step_count; ++s) {
            const Step& step = table.steps[s];
            ASSERT_EQ(times.starts[s], expected) << "table " << i << " step " << s;
            ASSERT_EQ(times.dwell_ends[s] - times.dwell_starts[s],
                      Ticks{std::uint64_t{step.cycles} * step.divisor});
            expected = expected + step_length(step);
        }
        ASSERT_EQ(times.end, expected);
    }
}

TEST(Soak, StartsFallOnTheFirstMarkAfterTheWarningWhateverTheClock) {
    test::Draws draws(77);
    for (int i = 0; i < 3'000; ++i) {
        Config config;
        config.clock_hz = 100'000 + draws.below(99'900'001);
        config.clock_error_ppb = static_cast<std::int32_t>(draws.below(2'000'001)) - 1'000'000;
        config.start_mark = draws.below(2) == 0 ? Mark::second : Mark::minute;
        config.warning_ms = 1 + draws.below(70'000);
        config.limits.settle_ticks_min = 1'000'000;
        config.limits.gap_ticks_min = 1'000'000;
        SequencerFixture unit(config);
        Table table = test::random_table(draws, 1);
        table.steps[0].settle_ticks = table.steps[0].gap_ticks = 1'000'000;
        ASSERT_EQ(unit.load(table), TableCheck{});
        unit.to_standby();
        const Instant fix = unit.now;
        const std::uint64_t first_second = 1'700'000'000u + draws.below(200'000'000);
        unit.sequencer.mark(fix, first_second);
        unit.run_to(fix + Ticks{std::uint64_t{config.clock_hz}} * draws.below(100'000) +
                    Ticks{std::uint64_t{draws.below(config.clock_hz)}});
        unit.control(Control::arm);
        ASSERT_EQ(unit.control(Control::go), Reply::accepted);
        const Instant earliest = unit.now + ticks_of_ms(config.clock_hz, config.warning_ms);
        const Instant start = unit.sequencer.start_at();
        // Independent: long double has 64 bits of mantissa here, the spans need 44.
        const long double second_ticks = config.clock_hz * (1.0L + 1e-9L * config.clock_error_ppb);
        const auto seconds =
            static_cast<std::uint64_t>(static_cast<long double>((start - fix).count() + 1) / second_ticks);
        ASSERT_GE(start, earliest);
        ASSERT_NEAR(static_cast<double>(static_cast<long double>((start - fix).count()) -
                                        static_cast<long double>(seconds) * second_ticks),
                    0, 1.0);
        const bool on_minutes = config.start_mark == Mark::minute;
        if (on_minutes) {
            ASSERT_EQ((first_second + seconds) % 60, 0u);
        }
        const long double span = (on_minutes ? 60 : 1) * second_ticks;
        ASSERT_LT(static_cast<long double>((start - earliest).count()), span + 1)
            << "the first mark, not a later one";
    }
}

TEST(Soak, TenYearsOfDays) {
    // 3653 days; each day the battery is joined, two sweeps are sent, the battery is taken away again.
    SequencerFixture unit;
    Table table = test::three_steps();
    ASSERT_EQ(unit.load(table), TableCheck{});
    std::uint32_t trips = 0;
    Instant midnight{0};
    const Ticks day{std::uint64_t{86'400} * 24'000'000};
    for (std::uint32_t d = 0; d < 3'653; ++d, midnight = midnight + day) {
        unit.now = midnight + ticks_of_ms(24'000'000, 4'000'000) * 8;  // in the morning
        unit.drives.clear();
        unit.reading.supply = Supply::right;
        unit.to_standby();
        for (int sweep = 0; sweep < 2; ++sweep) {
            ASSERT_EQ(unit.control(Control::arm), Reply::accepted) << "day " << d;
            ASSERT_EQ(unit.control(Control::go), Reply::accepted);
            unit.run_to(unit.sequencer.start_at());
            const Instant start = unit.now;
            ASSERT_TRUE(unit.run_while(State::sending));
            ASSERT_EQ(unit.sequencer.state(), State::standby);
            Ticks total;
            for (const Step& step : table.used()) total += step_length(step);
            ASSERT_EQ(unit.sequencer.state_since() - start, total) << "day " << d;
        }
        if (d % 10 == 9) {
            unit.control(Control::emergency_stop);
            unit.control(Control::emergency_reset);
            unit.measure();
            ASSERT_EQ(unit.control(Control::acknowledge), Reply::accepted);
            unit.run_ms(2'000);
        }
        unit.reading.supply = Supply::absent;
        unit.measure();
        ASSERT_EQ(unit.sequencer.state(), State::unpowered);
        for (const Record& record : unit.drain())
            trips += record.kind == RecordKind::trip ? record.count : 0u;
    }
    EXPECT_EQ(trips, 365u);
    EXPECT_GT(unit.now - Instant{0}, day * 3'652);
}

/// One call into the core, and what must hold after each.
template <typename Call>
void checked(SequencerFixture& unit, std::uint32_t& tripped, const Call& call) {
    const Drive was = unit.sequencer.drive();
    const State before = unit.sequencer.state();
    const bool something_due = unit.sequencer.deadline() <= unit.now;
    call();
    const Drive& is = unit.sequencer.drive();
    const State state = unit.sequencer.state();
    RC_ASSERT(!is.on || may_energise(state));
    RC_ASSERT(!is.on || is.selection.loop != Loop::none);
    RC_ASSERT(was.selection == is.selection || !was.on || something_due);
    RC_ASSERT(was.selection.loop == Loop::none || is.selection.loop == Loop::none ||
              was.selection == is.selection);
    RC_ASSERT(state != State::sending || before == State::sending || before == State::warning);
    RC_ASSERT(unit.sequencer.active().empty() || state == State::tripped);
    RC_ASSERT(is.since <= unit.now);
    RC_ASSERT(unit.sequencer.deadline() > unit.now);
    if (state == State::tripped && before != State::tripped) ++tripped;
}

void spoil_reading(test::Draws& draws, SequencerFixture& unit) {
    const auto any = [&](std::uint32_t bound) { return static_cast<std::int32_t>(draws.below(bound)); };
    switch (draws.below(9)) {
        case 0:
            unit.reading.supply = static_cast<Supply>(draws.below(3));
            break;
        case 1:
            unit.reading.battery_mv = any(30'000);
            break;
        case 2:
            unit.reading.winding_mdeg_c = any(150'000);
            break;
        case 3:
            unit.reading.electronics_mdeg_c = any(100'000);
            break;
        case 4:
            unit.reading.clock_ok = draws.below(2) == 0;
            break;
        case 5:
            unit.reading.table_store_ok = draws.below(2) == 0;
            break;
        case 6:
            unit.current_ma[draws.below(2)] = any(50'000);
            break;
        case 7:
            unit.reading.loop_resistance_mohm[draws.below(2)] = any(0x7FFFFFFF);
            break;
        default:
            unit.reading.bus_mv = any(50'000);
            break;
    }
}

/// Any inputs in any order; at least `count` calls.
void random_events(std::uint64_t seed, int count) {
    test::Draws draws(seed);
    SequencerFixture unit;
    unit.reads = false;
    Table table;
    table.step_count = 2;
    table.steps[0] = {
        .loop = Loop::a, .divisor = 10'000, .cycles = 100, .current_ma_peak = 8'000, .ramp_cycles = 5};
    table.steps[1] = {
        .loop = Loop::b, .divisor = 2'000, .cycles = 1'000, .current_ma_peak = 8'000, .ramp_cycles = 50};
    std::uint32_t tripped = 0, recorded = 0, energised = 0;
    const Reading good = unit.reading;
    const auto press = [&](Control control) { checked(unit, tripped, [&] { unit.control(control); }); };
    for (int i = 0; i < count; ++i) {
        switch (draws.below(16)) {
            case 0:
                press(static_cast<Control>(draws.below(control_count)));
                break;
            case 1:
                press(Control::arm);
                break;
            case 2:
                press(Control::go);
                break;
            case 3:
                press(Control::emergency_reset);
                press(Control::acknowledge);
                break;
            case 4:
                spoil_reading(draws, unit);
                break;
            case 5:
            case 6:
                unit.reading = good;
                unit.current_ma = {-1, -1};
                break;
            case 7:
                unit.now = unit.now + Ticks{draws.next() >> (40 + draws.below(20))};
                break;
            case 8:
                unit.now = unit.now + Ticks{std::uint64_t{draws.below(5'000)}};
                break;
            case 9:
                if (draws.below(16) == 0)
                    checked(unit, tripped,
                            [&] { unit.sequencer.mark(unit.now, draws.next() >> draws.below(60)); });
                if (draws.below(64) == 0)
                    checked(unit, tripped,
                            [&] { unit.sequencer.advance(Instant{unit.now.ticks_since_power_on() / 2}); });
                if (draws.below(16) == 0) checked(unit, tripped, [&] { (void)unit.load(table); });
                break;
            default:
                if (unit.sequencer.deadline() != Instant::never())
                    unit.now = std::max(unit.now, unit.sequencer.deadline());
        }
        checked(unit, tripped, [&] {
            if (draws.below(3) == 0)
                unit.sequencer.advance(unit.now);
            else
                unit.measure();
        });
        energised += unit.sequencer.drive().on;
        if (draws.below(64) == 0)
            for (const Record& record : unit.drain())
                recorded += record.kind == RecordKind::trip ? record.count : 0u;
    }
    for (const Record& record : unit.drain()) recorded += record.kind == RecordKind::trip ? record.count : 0u;
    RC_ASSERT(recorded >= tripped);
    RC_ASSERT(tripped > 10u);
    RC_ASSERT(energised > 10u);
}

RC_GTEST_PROP(Soak, LawsHoldOverAMillionRandomEvents, ()) {
    // RapidCheck runs a property 100 times: 100 x 12 000 events.
    random_events(*rc::gen::resize(100, rc::gen::arbitrary<std::uint64_t>()), 12'000);
}

}  // namespace soak_test
}  // namespace ampturn::core
