#include "firmware-sim/host/logsheet.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "firmware-sim/session/session.hpp"
#include "firmware-sim/site/words.hpp"
#include "scheduler/base/input_error.hpp"

namespace ampturn::sim {
namespace {

std::string text(const Record& record, const char* key) { return record.value(key, std::string()); }
double number(const Record& record, const char* key) { return record.value(key, 0.0); }

std::string loop_text(const UnitKit::LoopSheet& loop) {
    std::string turns;
    for (const int count : loop.turns) turns += fmt::format("{}{}", turns.empty() ? "" : "/", count);
    return fmt::format("{:.2f} m2, {} turns, centre {:.2f} m, tilt {:.1f} deg", loop.area_m2, turns,
                       loop.height_m, loop.tilt_deg);
}

SheetLine line_of(const Record& record, const UnitKit& kit) {
    SheetLine line;
    const double clock_hz = kit.setup.config.clock_hz;
    line.step_number = record.value("step_number", 0);
    line.sweep_number = record.value("sweep_number", 0);
    line.frequency_hz = clock_hz / record.value("divisor", 2.0);
    line.polarisation = text(record, "loop");
    line.start_utc = text(record, "start_utc");
    line.duration_s = (number(record, "end_tick") - number(record, "start_tick")) / clock_hz;
    const bool measured = record.value("readings", 0) > 0;
    if (measured) {
        line.current_a_rms =
            fmt::format("{:.3f}", number(record, "current_ma_peak") * 1e-3 / std::numbers::sqrt2);
        line.bus_v = number(record, "bus_mv") * 1e-3;
        line.battery_v = number(record, "battery_mv") * 1e-3;
    }
    if (record.contains("drive_phase_at_second_mdeg")) {
        line.phase_deg = fmt::format("{:.3f}", number(record, "drive_phase_at_second_mdeg") * 1e-3);
    }
    const std::size_t tap = record.value("tap", std::size_t{1});
    const auto& turns = kit.loops[line.polarisation == "B" ? 1 : 0].turns;
    if (tap >= 1 && tap <= turns.size()) line.turns = turns[tap - 1];
    line.capacitor = record.value("capacitor", 0);
    line.tuning = line.capacitor == 0 ? fmt::format("untuned, {} turns", line.turns)
                                      : fmt::format("capacitor {}, {} turns", line.capacitor, line.turns);
    line.clock = record.value("clock_locked", false) ? "locked" : "not locked";
    const double target_ma = number(record, "target_ma_peak");
    if (!record.value("complete", false)) {
        line.remark = "aborted";
    } else if (measured && number(record, "current_ma_peak") < 0.9 * target_ma) {
        line.remark = fmt::format("current {:.0f} % of the table's",
                                  100 * number(record, "current_ma_peak") / target_ma);
    }
    return line;
}

std::string event_of(const Record& record) {
    const std::string what = text(record, "what"), utc = text(record, "utc");
    if (what == "core" && text(record, "event") == "trip") {
        return fmt::format("{} trip {} (reading {})", utc, text(record, "cause"), record.value("value", 0));
    }
    if (what == "line" && !record.value("complete", false)) {
        return fmt::format("{} line {} aborted", utc, record.value("step_number", 0));
    }
    if (what != "happening") return {};
    const std::string name = text(record, "name");
    if (name == "did:stop" || name == "did:emergency_stop" || name == "table:done" ||
        name == "did:swap_battery") {
        return fmt::format("{} {}", utc,
                           name.substr(name.find(':') + 1) == "done" ? "table done" : name.substr(4));
    }
    if (name == "remark:") return fmt::format("{} remark: {}", utc, text(record, "text"));
    return {};
}

}  // namespace

LogSheet logsheet_of(const LogRead& log, const std::string& path) {
    if (log.records.empty() || text(log.records.front(), "what") != "session") {
        throw plan::InputError({.file = path,
                                .position = {1, 0},
                                .key = "what",
                                .found = log.damage.empty() ? "no session record" : log.damage,
                                .allowed = "a session log begins with a session record"});
    }
    const SessionSetup setup = SessionSetup::from_record(log.records.front(), path);
    const UnitKit kit = kit_of_plan(setup.plan_text, setup.plan_path, setup.seed);
    LogSheet sheet;
    sheet.damage = log.damage;
    std::string start, stop, weather, table_crc32 = kit.table_crc32;
    double rest_v = std::numeric_limits<double>::quiet_NaN(), load_v = rest_v;
    int locked = 0;
    double worst_mark_ticks = 0;
    for (const Record& record : log.records) {
        const std::string what = text(record, "what");
        if (what == "line") {
            sheet.lines.push_back(line_of(record, kit));
            if (start.empty()) start = text(record, "start_utc");
            stop = text(record, "utc");
            locked += record.value("clock_locked", false) ? 1 : 0;
        }
        if (what == "measured") {
            const double volts = number(record, "battery_mv") * 1e-3;
            if (text(record, "state") == "sending") {
                load_v = std::isnan(load_v) ? volts : std::min(load_v, volts);
            } else if (text(record, "state") == "standby" && std::isnan(rest_v)) {
                rest_v = volts;
            }
        }
        if (what == "core" && text(record, "event") == "table" && record.contains("crc32"))
            table_crc32 = text(record, "crc32");
        if (what == "core" && text(record, "event") == "mark") {
            worst_mark_ticks = std::max(worst_mark_ticks, std::abs(number(record, "error_ticks")));
        }
        if (what == "happening" && text(record, "name") == "fault:thunder_near") weather += "thunder heard; ";
        if (std::string event = event_of(record); !event.empty()) sheet.events.push_back(std::move(event));
    }
    const auto volts = [](double value) {
        return std::isnan(value) ? std::string("not measured") : fmt::format("{:.2f}", value);
    };
    const auto all_lines = static_cast<int>(sheet.lines.size());
    const UnitKit::LoopSheet &a = kit.loops[0], &b = kit.loops[1];
    const auto add = [&](const char* group, const char* field, const char* unit, const char* need,
                         std::string value) {
        sheet.fields.push_back({group, field, unit, need, std::move(value)});
    };
    // Fields after Kirkby (2019) and Duan et al. (2021) for the receiver; the transmitter's are this project's.
    add("site", "station id", "text", "M", kit.stand);
    add("site", "survey / line / operator", "text", "M",
        kit.survey + (kit.operator_name.empty() ? "" : " / " + kit.operator_name));
    add("site", "date and time UTC start, stop", "ISO 8601", "M",
        start.empty() ? "nothing was sent" : start + " " + stop);
    add("site", "latitude, longitude, elevation, datum", "deg, m", "M", kit.position);
    add("site", "north reference (true/magnetic/grid) and declination used", "deg", "M",
        fmt::format("true, declination {:.2f}", kit.declination_deg));
    add("tx", "transmitter position of mast foot, GPS uncertainty", "deg, m", "M", kit.position);
    add("tx", "loop A and B azimuth of plane normal", "deg", "M",
        fmt::format("A {:.1f}, B {:.1f}", a.azimuth_deg, b.azimuth_deg));
    add("tx", "loop area, turns, height of centre, tilt", "m2, -, m, deg", "M",
        "A " + loop_text(a) + "; B " + loop_text(b));
    add("tx", "loop R (cold), insulation", "ohm, Mohm", "R",
        fmt::format("A {:.2f}, B {:.2f} at 20 C (designed)", a.resistance_20c_ohm, b.resistance_20c_ohm));
    add("tx", "frequency table id and checksum", "text", "M",
        (table_crc32 == kit.table_crc32 ? kit.table_name : std::string("loaded over the network")) +
            ", CRC-32 " + table_crc32);
    add("tx", "per line: f, polarisation, start UTC, duration, I rms, I phase to PPS, V, tuning state", "",
        "M", fmt::format("{} lines below", all_lines));
    add("tx", "clock state: lock, PPS age, estimated error", "s", "M",
        fmt::format("locked for {} of {} lines; largest error at a second mark {:.2e} s", locked, all_lines,
                    worst_mark_ticks / kit.setup.config.clock_hz));
    add("tx", "battery volts (rest, under load), Ah used, temperature", "", "R",
        fmt::format("{} at rest, {} lowest under load; Ah not measured by this unit; air {:.0f} C",
                    volts(rest_v), volts(load_v), kit.air_c));
    add("tx", "photo of set-up and connections", "file", "R", "");
    for (const char* field :
         {"sample rate per channel", "Ex, Ey dipole length", "Ex, Ey azimuth", "Bx, By azimuth",
          "channel gain, interface gain, preamp gain", "distance and bearing to transmitter"}) {
        add("rx", field, "", "M", "");
    }
    add("rx", "coil serial numbers, calibration file", "text", "R", "");
    add("rx", "contact resistance per dipole", "kohm", "R", "");
    add("both", "weather: wind, rain, lightning heard", "", "R", weather);
    add("both", "noise remarks: lines, fences, trains, stations", "", "R", "");
    std::string events;
    for (const std::string& event : sheet.events) events += (events.empty() ? "" : "; ") + event;
    add("both", "events: trips, repeats, aborted lines with time", "", "M", events.empty() ? "none" : events);
    return sheet;
}

}  // namespace ampturn::sim
