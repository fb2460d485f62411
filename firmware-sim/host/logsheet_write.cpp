#include <fmt/format.h>

#include "firmware-sim/host/logsheet.hpp"

namespace ampturn::sim {
namespace {

std::string csv(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + "\"";
}

std::string html(const std::string& text) {
    std::string safe;
    for (const char c : text) {
        switch (c) {
            case '<':
                safe += "&lt;";
                break;
            case '>':
                safe += "&gt;";
                break;
            case '&':
                safe += "&amp;";
                break;
            case '"':
                safe += "&quot;";
                break;
            default:
                safe += c;
        }
    }
    return safe;
}

const char* name_of(SheetField::Need need) {
    return need == SheetField::Need::mandatory ? "mandatory" : "recommended";
}

const char* initial_of(SheetField::Need need) { return need == SheetField::Need::mandatory ? "M" : "R"; }

}  // namespace

std::string sheet_csv(const LogSheet& sheet) {
    std::string out = "group,field,unit,need,value\n";
    for (const SheetField& field : sheet.fields) {
        out += fmt::format("{},{},{},{},{}\n", field.group, csv(field.field), csv(field.unit),
                           initial_of(field.need), csv(field.value));
    }
    return out;
}

std::string sheet_lines_csv(const LogSheet& sheet) {
    std::string out =
        "sweep_number,step_number,frequency_hz,polarisation,start_utc,duration_s,current_a_rms,drive_phase_"
        "at_second_deg,bus_v,"
        "battery_v,turns,capacitor,tuning,clock,remark\n";
    for (const SheetLine& line : sheet.lines) {
        out +=
            fmt::format("{},{},{:.6f},{},{},{:.6f},{},{},{:.3f},{:.3f},{},{},{},{},{}\n", line.sweep_number,
                        line.step_number, line.frequency_hz, line.polarisation, line.start_utc,
                        line.duration_s, line.current_a_rms, line.phase_deg, line.bus_v, line.battery_v,
                        line.turns, line.capacitor, csv(line.tuning), line.clock, csv(line.remark));
    }
    return out;
}

std::string sheet_html(const LogSheet& sheet) {
    std::string out =
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Transmitter log "
        "sheet</title>\n<style>\n"
        "body{font:14px/1.4 system-ui,sans-serif;color:#17252c;max-width:1100px;margin:1.5rem auto;padding:0 "
        "1rem}\n"
        "table{border-collapse:collapse;width:100%;margin:.6rem 0 1.4rem}\n"
        "th,td{border:1px solid #b9b3a2;padding:.3rem .5rem;text-align:left;vertical-align:top}\n"
        "th{background:#efeadd}td.num{text-align:right;font-variant-numeric:tabular-nums}\n"
        "td.blank{background:#fff7dd}caption{text-align:left;font-weight:700;padding:.3rem 0}\n"
        "@media print{body{margin:0;max-width:none}tr{break-inside:avoid}}\n</style></head><body>\n"
        "<h1>Transmitter log sheet</h1>\n<p>Made from the session log of a simulated transmitter. Empty "
        "fields are filled in by hand.</p>\n";
    if (!sheet.damage.empty())
        out += fmt::format("<p><b>The log is not whole: {}. The sheet holds what stands before it.</b></p>\n",
                           html(sheet.damage));
    out +=
        "<table><caption>Fields</caption><tr><th>Group</th><th>Field</th><th>Unit</th><th>Need</"
        "th><th>Value</th></tr>\n";
    for (const SheetField& field : sheet.fields) {
        out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td{}>{}</td></tr>\n",
                           field.group, html(field.field), html(field.unit), name_of(field.need),
                           field.value.empty() ? " class=\"blank\"" : "", html(field.value));
    }
    out +=
        "</table>\n<table><caption>Lines sent</caption><tr><th>Sweep</th><th>Step</th><th>f, "
        "Hz</th><th>Loop</th><th>Start UTC</th>"
        "<th>Duration, s</th><th>I, A rms</th><th>Phase at second, deg</th><th>Bus, V</th><th>Battery, "
        "V</th><th>Tuning</th><th>Clock</th>"
        "<th>Remark</th></tr>\n";
    for (const SheetLine& line : sheet.lines) {
        out += fmt::format(
            "<tr><td class=\"num\">{}</td><td class=\"num\">{}</td><td "
            "class=\"num\">{:.4f}</td><td>{}</td><td>{}</td>"
            "<td class=\"num\">{:.3f}</td><td class=\"num\">{}</td><td class=\"num\">{}</td><td "
            "class=\"num\">{:.2f}</td>"
            "<td class=\"num\">{:.2f}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
            line.sweep_number, line.step_number, line.frequency_hz, line.polarisation, line.start_utc,
            line.duration_s, line.current_a_rms, line.phase_deg, line.bus_v, line.battery_v,
            html(line.tuning), line.clock, html(line.remark));
    }
    return out + "</table>\n</body></html>\n";
}

}  // namespace ampturn::sim
