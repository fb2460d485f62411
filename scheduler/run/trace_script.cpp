#include "scheduler/run/trace_script.hpp"

#include <algorithm>
#include <charconv>

#include "scheduler/core/image.hpp"
#include "scheduler/run/names.hpp"
#include "scheduler/run/trace_line.hpp"

namespace ampturn::run {
namespace {

using core::Config;
using core::Instant;
using core::Reading;
using core::Ticks;

struct UnsignedSetting {
    std::string_view key;
    std::uint32_t Config::*field;
};
constexpr UnsignedSetting unsigned_settings[] = {
    {"clock_hz", &Config::clock_hz},
    {"warning_ms", &Config::warning_ms},
    {"arm_timeout_ms", &Config::arm_timeout_ms},
    {"self_check_ms", &Config::self_check_ms},
    {"self_check_limit_ms", &Config::self_check_limit_ms},
    {"relay_break_ms", &Config::relay_break_ms},
    {"current_decay_ms", &Config::current_decay_ms},
    {"watchdog_ms", &Config::watchdog_ms},
    {"current_debounce_ms", &Config::current_debounce_ms},
    {"sag_debounce_ms", &Config::sag_debounce_ms},
    {"voltage_debounce_ms", &Config::voltage_debounce_ms},
    {"temperature_debounce_ms", &Config::temperature_debounce_ms},
    {"clock_limit_ppm", &Config::clock_limit_ppm},
};
struct SignedSetting {
    std::string_view key;
    std::int32_t Config::*field;
};
constexpr SignedSetting signed_settings[] = {
    {"clock_error_ppb", &Config::clock_error_ppb},
    {"current_zero_ma", &Config::current_zero_ma},
    {"over_current_ma", &Config::over_current_ma},
    {"open_loop_ma", &Config::open_loop_ma},
    {"shorted_loop_percent", &Config::shorted_loop_percent},
    {"open_loop_mohm", &Config::open_loop_mohm},
    {"shorted_loop_mohm", &Config::shorted_loop_mohm},
    {"under_voltage_mv", &Config::under_voltage_mv},
    {"under_voltage_hysteresis_mv", &Config::under_voltage_hysteresis_mv},
    {"bus_low_mv", &Config::bus_low_mv},
    {"winding_limit_mdeg_c", &Config::winding_limit_mdeg_c},
    {"winding_restart_mdeg_c", &Config::winding_restart_mdeg_c},
    {"electronics_limit_mdeg_c", &Config::electronics_limit_mdeg_c},
    {"electronics_restart_mdeg_c", &Config::electronics_restart_mdeg_c},
    {"temperature_hysteresis_mdeg_c", &Config::temperature_hysteresis_mdeg_c},
};
struct ReadingField {
    std::string_view key;
    std::int32_t Reading::*field;
};
constexpr ReadingField reading_fields[] = {
    {"bus_mv", &Reading::bus_mv},
    {"battery_mv", &Reading::battery_mv},
    {"winding_mdeg_c", &Reading::winding_mdeg_c},
    {"electronics_mdeg_c", &Reading::electronics_mdeg_c},
};

constexpr std::string_view whole_number = "a whole number in the range of the key";

template <typename Number>
bool parse(std::string_view text, Number& out) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out);
    return error == std::errc{} && end == text.data() + text.size();
}

bool parse_span(std::string_view text, std::uint32_t clock_hz, Ticks& out) {
    std::uint64_t scale = 1;
    std::uint64_t divide = 1;
    if (text.ends_with("ms")) {
        scale = clock_hz;
        divide = 1'000;
        text.remove_suffix(2);
    } else if (text.ends_with('s')) {
        scale = clock_hz;
        text.remove_suffix(1);
    }
    std::uint64_t count = 0;
    // 10^12 ms are 31 years; times 100 MHz they still fit 64 bits.
    if (!parse(text, count) || count > (scale == 1 ? std::uint64_t{1} << 60 : 100'000'000'000u)) return false;
    out = Ticks{count * scale / divide};
    return true;
}

TraceLine line_of(const core::Record& record) {
    TraceLine out;
    out.number(record.at.ticks_since_power_on()).word(name_of(record.kind));
    switch (record.kind) {
        case core::RecordKind::state:
            out.word(name_of(static_cast<core::State>(record.detail >> 4)))
                .word(name_of(static_cast<core::State>(record.detail & 15)))
                .word(name_of(static_cast<core::Event>(record.value)));
            break;
        case core::RecordKind::trip:
        case core::RecordKind::trip_cleared:
            out.word(name_of(static_cast<core::Trip>(record.detail))).number(record.value);
            break;
        case core::RecordKind::step:
            out.number(std::uint64_t{record.detail}).number(record.value);
            break;
        case core::RecordKind::control:
            out.word(name_of(static_cast<core::Control>(record.detail)))
                .word(name_of(static_cast<core::Reply>(record.value)));
            break;
        case core::RecordKind::table:
            out.word(name_of(static_cast<core::Refusal>(record.detail))).number(record.value);
            break;
        case core::RecordKind::mark:
            out.number(std::uint64_t{record.detail}).number(record.value);
            break;
    }
    if (record.count != 1) out.word("times").number(std::uint64_t{record.count});
    return out;
}

}  // namespace

ScriptFault TraceScript::line(std::string_view text) {
    text = text.substr(0, text.find('#'));
    Words words{};
    std::size_t count = 0;
    for (std::size_t at = text.find_first_not_of(" \t\r"); at != std::string_view::npos;
         at = text.find_first_not_of(" \t\r", at)) {
        const std::size_t end = std::min(text.find_first_of(" \t\r", at), text.size());
        if (count == words.size()) return {true, text.substr(at, end - at), "nothing more on this line"};
        words[count++] = text.substr(at, end - at);
        at = end;
    }
    if (count == 0) return {};
    struct Verb {
        std::string_view name;
        std::size_t words_least, words_most;
        std::string_view form;
    };
    static constexpr Verb verbs[] = {
        {"script", 2, 2, "script NAME"},
        {"unit", 3, 3, "unit KEY VALUE"},
        {"step", 11, 11,
         "step LOOP TAP CAPACITOR DIVISOR CYCLES CURRENT_MA_PEAK RAMP_CYCLES SETTLE_TICKS GAP_TICKS FLAGS"},
        {"table", 3, 3, "table ID SWEEPS"},
        {"load", 1, 3, "load, load flip BIT or load cut BYTES"},
        {"set", 3, 3, "set KEY VALUE"},
        {"read", 1, 1, "read"},
        {"wait", 2, 2, "wait SPAN"},
        {"late", 2, 2, "late SPAN"},
        {"back", 2, 2, "back SPAN"},
        {"control", 2, 2, "control WORD"},
        {"mark", 2, 2, "mark SECOND"},
    };
    const auto* verb =
        std::find_if(std::begin(verbs), std::end(verbs), [&](const Verb& v) { return v.name == words[0]; });
    if (verb == std::end(verbs))
        return {true, words[0],
                "script, unit, step, table, load, set, read, wait, late, back, control or mark"};
    if (count < verb->words_least || count > verb->words_most) return {true, text, verb->form};
    if (words[0] == "script") return begin(words[1]);
    if (words[0] == "unit") return set_unit(words[1], words[2]);
    if (words[0] == "step") return add_step(words);
    if (words[0] == "table") return table(words);
    if (words[0] == "load") return load(words, count);
    if (words[0] == "set") return set_reading(words[1], words[2]);
    if (words[0] == "control") return control(words[1]);
    if (words[0] == "mark") return mark(words[1]);
    if (words[0] != "read") return move(words[0], words[1]);
    read();
    return {};
}

TraceScript::TraceScript(Sink sink, void* context) : sink_(sink), context_(context) { start_afresh(); }

void TraceScript::start_afresh() {
    config_ = Config{};
    unit_.reset();
    table_ = core::Table{};
    table_closed_ = false;
    reading_ = Reading{};
    reading_.battery_mv = reading_.bus_mv = 25'000;
    reading_.supply = core::Supply::right;
    reading_.loop_resistance_mohm = {900, 900};
    current_ma_ = {-1, -1};
    readings_ = true;
    now_ = Instant{};
    reported_drive_ = core::Drive{};
    reported_deadline_ = Instant::never();
    reported_state_ = core::State::unpowered;
}

ScriptFault TraceScript::begin(std::string_view name) {
    if (name.size() > 100) return {true, name, "a name of at most 100 characters"};
    start_afresh();
    TraceLine out;
    sink_(context_, out.word("script").word(name).text());
    return {};
}

ScriptFault TraceScript::set_unit(std::string_view key, std::string_view value) {
    if (unit_) return {true, key, "settings before the first load, reading, control or span"};
    const Config before = config_;
    bool known = false;
    for (const UnsignedSetting& setting : unsigned_settings) {
        if (setting.key != key) continue;
        known = true;
        if (!parse(value, config_.*setting.field)) return {true, value, whole_number};
    }
    for (const SignedSetting& setting : signed_settings) {
        if (setting.key != key) continue;
        known = true;
        if (!parse(value, config_.*setting.field)) return {true, value, whole_number};
    }
    std::uint8_t small = 0;
    if (key == "start_mark" || key == "loops_fitted" || key == "quadrature") {
        known = true;
        if (!parse(value, small)) return {true, value, whole_number};
        if (key == "start_mark") config_.start_mark = static_cast<core::Mark>(small);
        if (key == "loops_fitted") config_.limits.loops_fitted = small;
        if (key == "quadrature") config_.limits.quadrature = small != 0;
    }
    if (!known) return {true, key, "a setting of the unit, as in the manual of the core"};
    if (core::check(config_) != core::ConfigFault::none) {
        config_ = before;
        return {true, value, whole_number};
    }
    return {};
}

ScriptFault TraceScript::add_step(const Words& words) {
    if (table_closed_) {
        table_ = core::Table{};
        table_closed_ = false;
    }
    if (table_.step_count == core::steps_max) return {true, words[0], "at most 64 steps"};
    std::array<std::uint32_t, 10> numbers{};
    for (std::size_t i = 0; i < numbers.size(); ++i)
        if (!parse(words[i + 1], numbers[i]) || ((i < 3 || i == 9) && numbers[i] > 255))
            return {true, words[i + 1],
                    "a whole number, 0 to 255 for loop, tap, capacitor and flags, else 0 to 4294967295"};
    table_.steps[table_.step_count++] = {.loop = static_cast<core::Loop>(numbers[0]),
                                         .tap = static_cast<std::uint8_t>(numbers[1]),
                                         .capacitor = static_cast<std::uint8_t>(numbers[2]),
                                         .flags = static_cast<std::uint8_t>(numbers[9]),
                                         .divisor = numbers[3],
                                         .cycles = numbers[4],
                                         .current_ma_peak = numbers[5],
                                         .ramp_cycles = numbers[6],
                                         .settle_ticks = numbers[7],
                                         .gap_ticks = numbers[8]};
    return {};
}

ScriptFault TraceScript::table(const Words& words) {
    if (!parse(words[1], table_.table_id)) return {true, words[1], "0 to 4294967295"};
    if (!parse(words[2], table_.sweep_count)) return {true, words[2], "0 to 65535"};
    return {};
}

ScriptFault TraceScript::load(const Words& words, std::size_t count) {
    std::array<std::uint8_t, core::image_bytes_max> image{};
    std::size_t length = core::write_image(table_, config_.clock_hz, image);
    if (count == 2) return {true, words[1], "flip BIT or cut BYTES"};
    if (count == 3) {
        std::uint32_t number = 0;
        const bool flips = words[1] == "flip";
        if (!flips && words[1] != "cut") return {true, words[1], "flip or cut"};
        if (!parse(words[2], number) || number >= (flips ? length * 8 : length + 1))
            return {true, words[2], "a bit or a number of bytes inside the image"};
        if (flips)
            image[number / 8] ^= static_cast<std::uint8_t>(1u << (number % 8));
        else
            length -= number;
    }
    table_closed_ = true;
    (void)unit().load(now_, std::span{image}.first(length));  // the result is in the records
    report();
    return {};
}

ScriptFault TraceScript::set_reading(std::string_view key, std::string_view value) {
    std::int32_t number = 0;
    if (!parse(value, number)) return {true, value, whole_number};
    for (const ReadingField& field : reading_fields) {
        if (field.key != key) continue;
        reading_.*field.field = number;
        return {};
    }
    if (key == "current_a_ma") {
        current_ma_[0] = number;
    } else if (key == "current_b_ma") {
        current_ma_[1] = number;
    } else if (key == "resistance_a_mohm") {
        reading_.loop_resistance_mohm[0] = number;
    } else if (key == "resistance_b_mohm") {
        reading_.loop_resistance_mohm[1] = number;
    } else if (key == "supply") {
        if (number < 0 || number > 2) return {true, value, "0 absent, 1 right, 2 reversed"};
        reading_.supply = static_cast<core::Supply>(number);
    } else if (key == "clock_ok" || key == "table_store_ok" || key == "readings") {
        if (number < 0 || number > 1) return {true, value, "0 or 1"};
        (key == "clock_ok"   ? reading_.clock_ok
         : key == "readings" ? readings_
                             : reading_.table_store_ok) = number != 0;
    } else {
        return {true, key,
                "current_a_ma, current_b_ma, resistance_a_mohm, resistance_b_mohm, bus_mv, battery_mv, "
                "winding_mdeg_c, electronics_mdeg_c, supply, clock_ok, table_store_ok or readings"};
    }
    return {};
}

ScriptFault TraceScript::control(std::string_view word) {
    if (const auto control = value_named<core::Control>(word, core::control_count)) {
        unit().control(now_, *control);
        report();
        return {};
    }
    return {true, word, "arm, disarm, go, stop, emergency_stop, emergency_reset or acknowledge"};
}

ScriptFault TraceScript::mark(std::string_view second) {
    std::uint64_t utc_second = 0;
    if (!parse(second, utc_second)) return {true, second, "a whole number of UTC seconds"};
    unit().mark(now_, utc_second);
    report();
    return {};
}

ScriptFault TraceScript::move(std::string_view verb, std::string_view span) {
    Ticks ticks;
    if (!parse_span(span, config_.clock_hz, ticks))
        return {true, span, "a whole number of ticks, of ms or of s"};
    constexpr std::uint64_t script_ticks_max = std::uint64_t{1} << 62;  // 1400 years at 100 MHz
    if (now_.ticks_since_power_on() + ticks.count() > script_ticks_max)
        return {true, span, "a script of less than 2^62 ticks in all"};
    if (verb == "wait") {
        wait_until(now_ + ticks);
    } else if (verb == "late") {
        const Instant deadline = unit().deadline();
        now_ = (deadline == Instant::never() || deadline < now_ ? now_ : deadline) + ticks;
        unit().advance(now_);
        report();
    } else {
        unit().advance(ticks <= now_ - Instant{} ? Instant{} + (now_ - Instant{} - ticks) : Instant{});
        report();
    }
    return {};
}

core::Sequencer& TraceScript::unit() {
    if (!unit_) unit_.emplace(config_);
    return *unit_;
}

void TraceScript::read() {
    Reading reading = reading_;
    const core::Drive& drive = unit().drive();
    for (std::size_t loop = 0; loop < 2; ++loop) {
        const bool fed = drive.on && (static_cast<unsigned>(drive.selection.loop) >> loop & 1u) != 0;
        const auto follows = static_cast<std::int32_t>(fed ? drive.target_ma_peak : 0);
        reading.loop_current_ma[loop] = current_ma_[loop] < 0 ? follows : current_ma_[loop];
        if (drive.on) reading.loop_resistance_mohm[loop] = Reading::not_tested;
    }
    unit().measure(now_, reading);
    report();
}

/// The deadline, or a second before the watchdog would bark.
Instant TraceScript::next_stop() const {
    const Instant deadline = unit_->deadline();
    if (!readings_ || deadline != unit_->silent_at() || deadline == Instant::never()) return deadline;
    const Ticks second{config_.clock_hz};
    return deadline - now_ > second ? now_ + (deadline - now_ - second) : now_ + Ticks{1};
}

void TraceScript::wait_until(Instant until) {
    unit();
    for (Instant next = next_stop(); next <= until; next = next_stop()) {
        now_ = std::max(now_, next);
        unit().advance(now_);
        report();
        if (readings_) read();
    }
    now_ = until;
    unit().advance(now_);
    report();
}

void TraceScript::report() {
    core::Record record;
    while (unit().records().pop(record)) sink_(context_, line_of(record).text());
    report_drive();
    report_indication();
    report_deadline();
}

void TraceScript::report_drive() {
    const core::Drive& drive = unit().drive();
    if (drive == reported_drive_) return;
    reported_drive_ = drive;
    TraceLine out;
    out.number(drive.since.ticks_since_power_on())
        .word("drive")
        .word(drive.on ? "on" : "off")
        .word(name_of(drive.selection.loop))
        .number(std::uint64_t{drive.selection.tap})
        .number(std::uint64_t{drive.selection.capacitor})
        .number(std::uint64_t{drive.divisor})
        .number(std::uint64_t{drive.amplitude_q16})
        .number(std::uint64_t{drive.target_ma_peak});
    sink_(context_, out.text());
}

void TraceScript::report_indication() {
    if (unit().state() == reported_state_) return;
    reported_state_ = unit().state();
    const core::Indicator shown = unit().indicator();
    TraceLine out;
    out.number(shown.since.ticks_since_power_on())
        .word("shows")
        .word(name_of(shown.lamp))
        .word(name_of(shown.pattern))
        .word(name_of(shown.sounder))
        .word(name_of(shown.word));
    if (shown.has_cause) out.word(name_of(shown.cause));
    sink_(context_, out.text());
}

void TraceScript::report_deadline() {
    if (unit().deadline() == reported_deadline_) return;
    reported_deadline_ = unit().deadline();
    TraceLine out;
    out.number(now_.ticks_since_power_on()).word("deadline");
    if (reported_deadline_ == Instant::never())
        out.word("never");
    else
        out.number(reported_deadline_.ticks_since_power_on());
    sink_(context_, out.text());
}

}  // namespace ampturn::run
