// Walks every reachable abstract state of the sequencer and checks its laws on every edge.
//
// A node is a whole sequencer; two nodes are the same when everything a host can see is the same and their
// timers lie in the same class (never, due, one tick, less than half a drive period, more). From each node
// every action is tried: time to just before, at and past the deadline, every control, every kind of reading,
// a table, a mark, a clock that runs back. Prints how much was covered; stops at the first broken law and names it.

#include <array>
#include <cstdint>
#include <cstdio>
#include <deque>
#include <set>
#include <string>
#include <unordered_set>

#include "scheduler/core/image.hpp"
#include "scheduler/core/sequencer.hpp"

namespace {

using namespace ampturn::core;

constexpr std::uint32_t clock_hz = 100'000;
constexpr std::uint32_t divisor = 200;  // half a period is 100 ticks, 1 ms
constexpr std::uint32_t ramp_cycles = 3;

/// A step that waits for a second needs a patient watchdog; else the second dwell outlasts it.
constexpr std::uint32_t watchdog_ms(Mark mark) { return mark == Mark::none ? 20 : 4'000; }

/// Short spans, so that corner values of different timers meet.
Config short_times(Mark mark) {
    Config config;
    config.clock_hz = clock_hz;
    config.start_mark = mark;
    config.warning_ms = 4;
    config.arm_timeout_ms = 9;
    config.self_check_ms = 2;
    config.self_check_limit_ms = 6;
    config.relay_break_ms = 2;
    config.current_decay_ms = 3;
    config.watchdog_ms = watchdog_ms(mark);
    config.current_debounce_ms = 1;
    config.sag_debounce_ms = 3;
    config.voltage_debounce_ms = 1;
    config.temperature_debounce_ms = 2;
    config.limits.settle_ticks_min = 310;
    config.limits.gap_ticks_min = 100;
    return config;
}

Table two_steps(std::uint8_t flags) {
    Table table;
    table.step_count = 2;
    table.sweep_count = 2;
    table.steps[0] = {.loop = Loop::a,
                      .divisor = divisor,
                      .cycles = 2,
                      .current_ma_peak = 1'000,
                      .ramp_cycles = ramp_cycles,
                      .settle_ticks = 310,
                      .gap_ticks = 150};
    // The second dwell outlasts the watchdog: 20 cycles of 2 ms.
    table.steps[1] = {.loop = Loop::b,
                      .tap = 2,
                      .flags = flags,
                      .divisor = divisor,
                      .cycles = 20,
                      .current_ma_peak = 1'000,
                      .ramp_cycles = ramp_cycles,
                      .settle_ticks = 310,
                      .gap_ticks = 150};
    return table;
}

enum class Kind : std::uint8_t {
    good,
    residual_current,
    over_current,
    open,
    shorted_resistance,
    shorted_current,
    under_voltage,
    in_hysteresis,
    hot,
    winding,
    electronics,
    reversed,
    absent,
    table_store,
    clock,
    not_tested
};
constexpr unsigned kind_count = 16;

struct Node {
    Sequencer unit;
    Instant now{0};
    // What the walk knows by itself.
    bool known_zero = false;  // a reading has shown no current since the power stage was last on
    bool emergency = false;
    bool supplied = false;
    Instant heard{0};  // last reading
    Kind last = Kind::absent;
    std::uint64_t utc_second = 1'000;
};

Reading reading_of(Kind kind, const Drive& drive) {
    Reading r;
    r.supply = Supply::right;
    r.battery_mv = r.bus_mv = 25'000;
    r.loop_resistance_mohm = {drive.on ? -1 : 900, drive.on ? -1 : 900};
    for (unsigned loop = 0; loop < 2; ++loop)
        if (drive.on && (static_cast<unsigned>(drive.selection.loop) >> loop & 1u) != 0)
            r.loop_current_ma[loop] = static_cast<std::int32_t>(drive.target_ma_peak);
    switch (kind) {
        case Kind::good:
            break;
        case Kind::residual_current:
            r.loop_current_ma = {60, 0};
            break;
        case Kind::over_current:
            r.loop_current_ma = {46'000, 0};
            break;
        case Kind::open:
            r.loop_current_ma = {0, 0};
            r.loop_resistance_mohm[0] = drive.on ? -1 : 200'000;
            break;
        case Kind::shorted_resistance:
            r.loop_resistance_mohm[1] = 5;
            break;
        case Kind::shorted_current:
            r.loop_current_ma = {1'600, 1'600};
            break;
        case Kind::under_voltage:
            r.battery_mv = 20'000;
            break;
        case Kind::in_hysteresis:
            r.battery_mv = 22'000;
            break;
        case Kind::hot:
            r.winding_mdeg_c = 100'000;
            break;
        case Kind::winding:
            r.winding_mdeg_c = 130'000;
            break;
        case Kind::electronics:
            r.electronics_mdeg_c = 90'000;
            break;
        case Kind::reversed:
            r.supply = Supply::reversed;
            break;
        case Kind::absent:
            r.supply = Supply::absent;
            break;
        case Kind::table_store:
            r.table_store_ok = false;
            break;
        case Kind::clock:
            r.clock_ok = false;
            break;
        case Kind::not_tested:
            r.loop_resistance_mohm = {-1, -1};
            break;
    }
    return r;
}

std::array<std::uint8_t, image_bytes_max> image;
std::size_t image_length;

struct Broken {
    const char* law;
    std::string where;
};

std::uint8_t time_class(Instant t, Instant now) {
    if (t == Instant::never()) return 0;
    if (t <= now) return 1;
    const std::uint64_t left = (t - now).count();
    return left == 1 ? 2 : left <= divisor / 2 ? 3 : 4;
}

std::string key_of(const Node& n) {
    const Sequencer& u = n.unit;
    const Drive& d = u.drive();
    const Progress p = u.progress();
    const bool has_trip = !u.latched().empty();
    const std::uint16_t active = u.active().bits(), pending = u.pending().bits();
    const std::uint8_t bytes[] = {
        static_cast<std::uint8_t>(u.state()),
        static_cast<std::uint8_t>(p.phase),
        p.step_index,
        static_cast<std::uint8_t>(p.sweep_index),
        static_cast<std::uint8_t>(d.on ? 1 + (d.amplitude_q16 >> 14) : 0),
        static_cast<std::uint8_t>(d.selection.loop),
        static_cast<std::uint8_t>(has_trip ? 1 + static_cast<int>(u.first_trip()) : 0),
        static_cast<std::uint8_t>(active),
        static_cast<std::uint8_t>(active >> 8),
        static_cast<std::uint8_t>(pending),
        static_cast<std::uint8_t>(pending >> 8),
        static_cast<std::uint8_t>(n.last),
        static_cast<std::uint8_t>(u.current_is_zero() + 2 * n.emergency + 4 * n.known_zero +
                                  8 * u.utc().known() + 16 * (u.table().step_count > 0)),
        time_class(u.deadline(), n.now),
        time_class(p.phase_end, n.now),
        time_class(u.silent_at(), n.now),
        static_cast<std::uint8_t>((n.now - u.state_since() >= Ticks{200}) +
                                  2 * (n.now - d.since >= Ticks{300}))};
    return {reinterpret_cast<const char*>(bytes), sizeof bytes};
}

std::string describe(const Node& n, const std::string& action) {
    return "state " + std::to_string(static_cast<int>(n.unit.state())) + ", phase " +
           std::to_string(static_cast<int>(n.unit.progress().phase)) + ", last reading " +
           std::to_string(static_cast<int>(n.last)) + ", then " + action;
}

TripSet trips_recorded(Sequencer& unit) {
    TripSet seen;
    for (Record r; unit.records().pop(r);)
        if (r.kind == RecordKind::trip) seen.add(static_cast<Trip>(r.detail));
    return seen;
}

const char* check_laws(const Node& before, Node& after, std::uint32_t watchdog) {
    const Sequencer& a = before.unit;
    Sequencer& b = after.unit;
    const Drive &was = a.drive(), &is = b.drive();
    const TripSet recorded = trips_recorded(b);
    if (is.on && !may_energise(b.state())) return "power stage off in every state but sending and stopping";
    if (is.on && is.selection.loop == Loop::none) return "power stage on only into a selected loop";
    if (was.selection.loop != Loop::none && is.selection.loop != Loop::none && was.selection != is.selection)
        return "never two selections at once";
    if (was.selection != is.selection && (was.on || is.on || !after.known_zero))
        return "no selection change with current flowing";
    if (b.state() == State::armed && a.state() != State::armed && a.state() != State::standby)
        return "every start needs a fresh arm";
    if (b.state() == State::warning && a.state() != State::warning && a.state() != State::armed)
        return "every start needs a fresh arm";
    if (b.state() == State::sending && a.state() != State::sending && a.state() != State::warning)
        return "only the warning leads to sending";
    if (!b.active().empty() && b.state() != State::tripped) return "an active cause trips from every state";
    if ((b.active().bits() & ~a.active().bits() & ~recorded.bits()) != 0) return "every trip is recorded";
    if (after.emergency && after.supplied && b.state() != State::tripped)
        return "an emergency stop holds until it is reset";
    if (!after.supplied && b.state() != State::unpowered)
        return "supply lost leads to unpowered from every state";
    if (is.on && after.now - (after.heard > b.state_since() ? after.heard : b.state_since()) >=
                     ticks_of_ms(clock_hz, watchdog))
        return "never energised without readings for longer than the watchdog";
    if (b.deadline() <= after.now) return "the deadline lies ahead";
    if (may_energise(b.state()) && b.deadline() == Instant::never())
        return "something is always due while energised";
    return nullptr;
}

/// Laws about what can be done from a node; tried on copies.
const char* check_ways(const Node& node) {
    if (may_energise(node.unit.state())) {
        Node n = node;
        n.unit.control(n.now, Control::emergency_stop);
        if (n.unit.drive().on) return "an emergency stop turns the power stage off in the same call";
        Node s = node;
        s.unit.control(s.now, Control::stop);
        for (int i = 0; i < 40 && s.unit.drive().on; ++i) {
            s.now = s.unit.deadline();
            s.unit.advance(s.now);
        }
        if (s.unit.drive().on || s.now - node.now > Ticks{ramp_cycles * divisor})
            return "a stop is over within the ramp's cycles";
        Node l = node;
        const Instant late = l.unit.deadline() + Ticks{divisor / 2 + 1};
        l.unit.advance(late);
        if (l.unit.drive().on) return "a host that comes too late finds the power stage off";
    }
    // Once causes are gone, there is a way to standby.
    Node n = node;
    n.unit.control(n.now, Control::emergency_reset);
    for (int i = 0; i < 60 && n.unit.state() != State::standby; ++i) {
        n.unit.control(n.now, Control::stop);
        n.now = n.now + Ticks{50};
        for (int j = 0; j < 8 && n.unit.deadline() <= n.now; ++j) n.unit.advance(n.unit.deadline());
        n.unit.measure(n.now, reading_of(Kind::good, n.unit.drive()));
        n.unit.control(n.now, Control::acknowledge);
    }
    if (n.unit.state() != State::standby) return "there is a way to standby once causes are gone";
    return nullptr;
}

struct Walk {
    std::unordered_set<std::string> seen;
    std::deque<Node> queue;
    std::uint32_t watchdog = 0;
    std::uint64_t edge_count = 0;
    std::set<int> states, phases, trips, selections;
    std::set<std::pair<int, int>> state_pairs;

    void take(const Node& before, Node after, const std::string& action) {
        ++edge_count;
        if (!after.unit.drive().on && before.unit.drive().on) after.known_zero = false;
        if (after.unit.drive().on) after.known_zero = false;
        if (const char* law = check_laws(before, after, watchdog))
            throw Broken{law, describe(before, action)};
        state_pairs.insert({static_cast<int>(before.unit.state()), static_cast<int>(after.unit.state())});
        if (!seen.insert(key_of(after)).second) return;
        states.insert(static_cast<int>(after.unit.state()));
        phases.insert(static_cast<int>(after.unit.progress().phase));
        selections.insert(static_cast<int>(after.unit.drive().selection.loop));
        if (!after.unit.latched().empty()) trips.insert(static_cast<int>(after.unit.first_trip()));
        if (const char* law = check_ways(after)) throw Broken{law, describe(after, "nothing")};
        queue.push_back(std::move(after));
    }

    void move(const Node& node, Instant to, const char* name) {
        Node n = node;
        n.now = to;
        n.unit.advance(to);
        take(node, std::move(n), name);
    }

    void expand(const Node& node) {
        const Instant deadline = node.unit.deadline();
        if (deadline != Instant::never()) {
            if (deadline - node.now > Ticks{1})
                move(node, node.now + (deadline - node.now - Ticks{1}), "time to just before the deadline");
            move(node, deadline, "time to the deadline");
            move(node, deadline + Ticks{divisor / 2}, "time to half a period past the deadline");
            move(node, deadline + Ticks{divisor / 2 + 1}, "a call that comes too late");
        }
        move(node, node.now + Ticks{1}, "one tick");
        move(node, node.now + Ticks{101}, "a little time");
        for (unsigned i = 0; i < control_count; ++i) {
            Node n = node;
            const auto control = static_cast<Control>(i);
            n.unit.control(n.now, control);
            if (control == Control::emergency_stop) n.emergency = true;
            if (control == Control::emergency_reset) n.emergency = false;
            take(node, std::move(n), "control " + std::to_string(i));
        }
        for (unsigned i = 0; i < kind_count; ++i) {
            Node n = node;
            n.last = static_cast<Kind>(i);
            const Reading reading = reading_of(n.last, n.unit.drive());
            if (!n.unit.drive().on)
                n.known_zero = reading.loop_current_ma[0] <= 50 && reading.loop_current_ma[1] <= 50;
            n.supplied = reading.supply != Supply::absent;
            n.heard = n.now;
            n.unit.measure(n.now, reading);
            take(node, std::move(n), "reading " + std::to_string(i));
        }
        Node offered = node;
        (void)offered.unit.load(offered.now, std::span{image}.first(image_length));
        take(node, std::move(offered), "a table");
        for (const std::uint64_t second : {node.utc_second + 1, node.utc_second}) {
            Node n = node;
            n.utc_second = second;
            n.unit.mark(n.now, second);
            take(node, std::move(n), "a mark");
        }
        if (node.now > Instant{0}) {
            Node n = node;
            n.unit.advance(Instant{node.now.ticks_since_power_on() - 1});
            take(node, std::move(n), "a clock that runs back");
        }
    }

    void run(const Config& config) {
        watchdog = config.watchdog_ms;
        queue.push_back({.unit = Sequencer(config)});
        seen.insert(key_of(queue.front()));
        while (!queue.empty()) {
            const Node node = std::move(queue.front());
            queue.pop_front();
            expand(node);
        }
    }
};

/// A unit whose records nobody reads trips and trips again: every trip must still be in the ring.
const char* check_ring(const Config& config) {
    Node n{.unit = Sequencer(config)};
    std::array<std::uint32_t, trip_count> expected{}, found{};
    constexpr Kind kinds[] = {Kind::over_current, Kind::reversed, Kind::clock, Kind::table_store};
    constexpr Trip causes[] = {Trip::over_current, Trip::reversed_supply, Trip::clock_fault,
                               Trip::table_fault};
    for (unsigned i = 0; i < 1'000; ++i) {
        n.now = n.now + Ticks{400};
        n.unit.measure(n.now, reading_of(Kind::good, n.unit.drive()));
        n.unit.control(n.now, Control::acknowledge);
        const unsigned which = i * 7 / 3 % 4;
        n.unit.measure(n.now, reading_of(kinds[which], n.unit.drive()));
        ++expected[static_cast<unsigned>(causes[which])];
    }
    for (Record r; n.unit.records().pop(r);)
        if (r.kind == RecordKind::trip) found[r.detail] += r.count;
    return found == expected ? nullptr : "the record ring never loses a trip";
}

}  // namespace

int main() {
    std::uint64_t nodes = 0, edges_walked = 0;
    for (const Mark mark : {Mark::none, Mark::second}) {
        const Config config = short_times(mark);
        const Table table = two_steps(mark == Mark::none ? 0 : starts_on_second);
        image_length = write_image(table, clock_hz, image);
        if (check_image(std::span{image}.first(image_length), clock_hz, config.limits).reason !=
            Refusal::none)
            return 2;
        Walk walk;
        try {
            if (const char* law = check_ring(config)) throw Broken{law, "1000 trips unread"};
            walk.run(config);
        } catch (const Broken& broken) {
            std::printf("broken: %s (%s)\n", broken.law, broken.where.c_str());
            return 1;
        }
        std::printf(
            "start mark %d: %zu abstract states, %llu edges; "
            "%zu states, %zu phases, %zu first causes, %zu selections, %zu pairs of states\n",
            static_cast<int>(mark), walk.seen.size(), static_cast<unsigned long long>(walk.edge_count),
            walk.states.size(), walk.phases.size(), walk.trips.size(), walk.selections.size(),
            walk.state_pairs.size());
        nodes += walk.seen.size();
        edges_walked += walk.edge_count;
        if (walk.states.size() != state_count || walk.trips.size() != trip_count) {
            std::printf("broken: the walk must reach every state and every cause\n");
            return 1;
        }
    }
    std::printf("in all %llu abstract states, %llu edges, every law holds\n",
                static_cast<unsigned long long>(nodes), static_cast<unsigned long long>(edges_walked));
    return 0;
}
