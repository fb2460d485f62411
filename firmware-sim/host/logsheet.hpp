#pragma once

#include <string>
#include <vector>

#include "firmware-sim/record/session_log.hpp"

namespace ampturn::sim::host {

/// One field of the transmitter's log sheet.
struct SheetField {
    enum class Need { mandatory, recommended };
    std::string group;  // site, tx, rx, both
    std::string field, unit;
    Need need = Need::mandatory;
    std::string value;  // empty: to be filled in by hand
};

/// One line as sent.
struct SheetLine {
    int step_number = 0, sweep_number = 0;
    double frequency_hz = 0;
    std::string polarisation, start_utc;
    double duration_s = 0;
    std::string current_a_rms;  // of the fundamental; empty: dwell shorter than a reading
    std::string phase_deg;      // of the drive at the next UTC second; empty: UTC not known
    double bus_v = 0, battery_v = 0;
    int turns = 0;
    int capacitor = 0;
    std::string tuning, clock, remark;
};

struct LogSheet {
    std::vector<SheetField> fields;
    std::vector<SheetLine> lines;
    std::vector<std::string> events;  // trips, stops, aborted lines, remarks, with time
    std::string damage;               // of the log it was made from
};

/// Makes the sheet of a session log. plan::InputError when the records are no session.
LogSheet logsheet_of(const record::LogRead& log, const std::string& path);

std::string sheet_csv(const LogSheet& sheet);        // group, field, unit, need, value
std::string sheet_lines_csv(const LogSheet& sheet);  // one row a line, units in the column names
std::string sheet_html(const LogSheet& sheet);

}  // namespace ampturn::sim::host
