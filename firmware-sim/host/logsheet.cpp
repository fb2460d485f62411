#include "firmware-sim/host/logsheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

#include "firmware-sim/record/record_type.hpp"
#include "firmware-sim/session/session.hpp"
#include "firmware-sim/site/event_type.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/run/names.hpp"

namespace ampturn::sim::host {

using run::name_of;

namespace {

std::string text(const record::Record& record, const char* key) { return record.value(key, std::string()); }
double number(const record::Record& record, const char* key) { return record.value(key, 0.0); }

std::string loop_text(const site::TransmitterSetup::LoopSheet& loop) {
    std::string turns;
    for (const int count : loop.turns) turns += fmt::format("{}{}", turns.empty() ? "" : "/", count);
    return fmt::format("{:.2f} m2, {} turns, centre {:.2f} m, tilt {:.1f} deg", loop.area_m2, turns,
                       loop.height_m, loop.tilt_deg);
}

SheetLine line_of(const record::Record& record, const site::TransmitterSetup& transmitter) {
    SheetLine line;
    const double clock_hz = transmitter.setup.config.clock_hz;
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
    const auto& turns = transmitter.loops[record.value("loop", "") == name_of(core::Loop::b) ? 1 : 0].turns;
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

/// What the sheet says of an event of the site or the drill; empty when it says nothing.
std::string site_event_text(const record::Record& record) {
    const std::optional<site::EventType> type = site::event_type_named(text(record, "name"));
    if (!type) return {};
    if (*type == site::EventType::did(site::Action::stop) ||
        *type == site::EventType::did(site::Action::emergency_stop) ||
        *type == site::EventType::did(site::Action::swap_battery))
        return std::string(site::detail_name_of(*type));
    if (*type == site::EventType::table_done()) return "table done";
    if (*type == site::EventType::remark()) return "remark: " + text(record, "text");
    return {};
}

/// A line of the sheet's list of events, without its time; empty when the record is none.
std::string event_text(const record::Record& record) {
    if (record::core_kind_of(record) == core::RecordKind::trip)
        return fmt::format("trip {} (reading {})", text(record, "cause"), record.value("value", 0));
    const std::optional<record::RecordType> type = record::type_of(record);
    if (type == record::RecordType::line && !record.value("complete", false))
        return fmt::format("line {} aborted", record.value("step_number", 0));
    return type == record::RecordType::event ? site_event_text(record) : std::string();
}

/// What the fields of the sheet need of the records.
struct Observations {
    std::string start, stop, weather, table_crc32;
    double rest_v = std::numeric_limits<double>::quiet_NaN();
    double load_v = std::numeric_limits<double>::quiet_NaN();  // lowest
    int locked_lines = 0;
    double worst_mark_ticks = 0;

    void add_line(const record::Record& record) {
        if (start.empty()) start = text(record, "start_utc");
        stop = text(record, "utc");
        locked_lines += record.value("clock_locked", false) ? 1 : 0;
    }
    void add_measured(const record::Record& record) {
        const double volts = number(record, "battery_mv") * 1e-3;
        const auto state = run::value_named<core::State>(text(record, "state"), core::state_count);
        if (state == core::State::sending) {
            load_v = std::isnan(load_v) ? volts : std::min(load_v, volts);
        } else if (state == core::State::standby && std::isnan(rest_v)) {
            rest_v = volts;
        }
    }
    void add(const record::Record& record) {
        const std::optional<record::RecordType> type = record::type_of(record);
        if (type == record::RecordType::line) add_line(record);
        if (type == record::RecordType::measured) add_measured(record);
        const std::optional<core::RecordKind> kind = record::core_kind_of(record);
        if (kind == core::RecordKind::table && record.contains("crc32")) table_crc32 = text(record, "crc32");
        if (kind == core::RecordKind::mark)
            worst_mark_ticks = std::max(worst_mark_ticks, std::abs(number(record, "error_ticks")));
        if (type == record::RecordType::event && site::event_type_named(text(record, "name")) ==
                                                     site::EventType::fault_set(site::Fault::thunder_near))
            weather += "thunder heard; ";
    }
};

/// Fields after Kirkby (2019) and Duan et al. (2021) for the receiver; the transmitter's are this project's.
std::vector<SheetField> fields_of(const site::TransmitterSetup& transmitter, const Observations& seen,
                                  const LogSheet& sheet) {
    using enum SheetField::Need;
    std::vector<SheetField> fields;
    const auto add = [&](const char* group, const char* field, const char* unit, SheetField::Need need,
                         std::string value) {
        fields.push_back({group, field, unit, need, std::move(value)});
    };
    const auto volts = [](double value) {
        return std::isnan(value) ? std::string("not measured") : fmt::format("{:.2f}", value);
    };
    const site::TransmitterSetup::LoopSheet &a = transmitter.loops[0], &b = transmitter.loops[1];
    add("site", "station id", "text", mandatory, transmitter.site);
    add("site", "survey / line / operator", "text", mandatory,
        transmitter.survey + (transmitter.operator_name.empty() ? "" : " / " + transmitter.operator_name));
    add("site", "date and time UTC start, stop", "ISO 8601", mandatory,
        seen.start.empty() ? "nothing was sent" : seen.start + " " + seen.stop);
    add("site", "latitude, longitude, elevation, datum", "deg, m", mandatory, transmitter.position);
    add("site", "north reference (true/magnetic/grid) and declination used", "deg", mandatory,
        fmt::format("true, declination {:.2f}", transmitter.declination_deg));
    add("tx", "transmitter position of mast foot, GPS uncertainty", "deg, m", mandatory,
        transmitter.position);
    add("tx", "loop A and B azimuth of plane normal", "deg", mandatory,
        fmt::format("A {:.1f}, B {:.1f}", a.azimuth_deg, b.azimuth_deg));
    add("tx", "loop area, turns, height of centre, tilt", "m2, -, m, deg", mandatory,
        "A " + loop_text(a) + "; B " + loop_text(b));
    add("tx", "loop R (cold), insulation", "ohm, Mohm", recommended,
        fmt::format("A {:.2f}, B {:.2f} at 20 C (designed)", a.resistance_20c_ohm, b.resistance_20c_ohm));
    add("tx", "frequency table id and checksum", "text", mandatory,
        (seen.table_crc32 == transmitter.table_crc32 ? transmitter.table_name
                                                     : std::string("loaded over the network")) +
            ", CRC-32 " + seen.table_crc32);
    add("tx", "per line: f, polarisation, start UTC, duration, I rms, I phase to PPS, V, tuning state", "",
        mandatory, fmt::format("{} lines below", sheet.lines.size()));
    add("tx", "clock state: lock, PPS age, estimated error", "s", mandatory,
        fmt::format("locked for {} of {} lines; largest error at a second mark {:.2e} s", seen.locked_lines,
                    sheet.lines.size(), seen.worst_mark_ticks / transmitter.setup.config.clock_hz));
    add("tx", "battery volts (rest, under load), Ah used, temperature", "", recommended,
        fmt::format("{} at rest, {} lowest under load; Ah not measured by this unit; air {:.0f} C",
                    volts(seen.rest_v), volts(seen.load_v), transmitter.air_c));
    add("tx", "photo of set-up and connections", "file", recommended, "");
    for (const char* field :
         {"sample rate per channel", "Ex, Ey dipole length", "Ex, Ey azimuth", "Bx, By azimuth",
          "channel gain, interface gain, preamp gain", "distance and bearing to transmitter"}) {
        add("rx", field, "", mandatory, "");
    }
    add("rx", "coil serial numbers, calibration file", "text", recommended, "");
    add("rx", "contact resistance per dipole", "kohm", recommended, "");
    add("both", "weather: wind, rain, lightning heard", "", recommended, seen.weather);
    add("both", "noise remarks: lines, fences, trains, stations", "", recommended, "");
    std::string events;
    for (const std::string& event : sheet.events) events += (events.empty() ? "" : "; ") + event;
    add("both", "events: trips, repeats, aborted lines with time", "", mandatory,
        events.empty() ? "none" : events);
    return fields;
}

}  // namespace

LogSheet logsheet_of(const record::LogRead& log, const std::string& path) {
    if (log.records.empty() || record::type_of(log.records.front()) != record::RecordType::session) {
        throw base::InputError({.file = path,
                                .position = {1, 0},
                                .key = "what",
                                .found = log.damage.empty() ? "no session record" : log.damage,
                                .allowed = "a session log begins with a session record"});
    }
    const session::SessionSetup setup = session::SessionSetup::from_record(log.records.front(), path);
    const site::TransmitterSetup transmitter =
        site::transmitter_setup_of(setup.plan_text, setup.plan_path, setup.seed);
    LogSheet sheet;
    sheet.damage = log.damage;
    Observations seen;
    seen.table_crc32 = transmitter.table_crc32;
    for (const record::Record& record : log.records) {
        seen.add(record);
        if (record::type_of(record) == record::RecordType::line)
            sheet.lines.push_back(line_of(record, transmitter));
        if (const std::string event = event_text(record); !event.empty())
            sheet.events.push_back(text(record, "utc") + " " + event);
    }
    sheet.fields = fields_of(transmitter, seen, sheet);
    return sheet;
}

}  // namespace ampturn::sim::host
