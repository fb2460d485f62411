#include <fmt/format.h>

#include "embedded/logsheet.hpp"
#include "firmware-sim/host/logsheet.hpp"
#include "scheduler/base/text_template.hpp"

namespace ampturn::sim::host {
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
        "sweep_number,step_number,frequency_hz,polarisation,start_utc,duration_s,current_a_rms,"
        "drive_phase_at_second_deg,bus_v,battery_v,turns,capacitor,tuning,clock,remark\n";
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
    std::string damage, fields, lines;
    if (!sheet.damage.empty())
        damage =
            fmt::format("<p><b>The log is not whole: {}. The sheet holds what stands before it.</b></p>\n",
                        html(sheet.damage));
    for (const SheetField& field : sheet.fields) {
        fields += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td{}>{}</td></tr>\n",
                              field.group, html(field.field), html(field.unit), name_of(field.need),
                              field.value.empty() ? " class=\"blank\"" : "", html(field.value));
    }
    for (const SheetLine& line : sheet.lines) {
        lines += fmt::format(
            "<tr><td class=\"num\">{}</td><td class=\"num\">{}</td>"
            "<td class=\"num\">{:.4f}</td><td>{}</td><td>{}</td>"
            "<td class=\"num\">{:.3f}</td><td class=\"num\">{}</td><td class=\"num\">{}</td>"
            "<td class=\"num\">{:.2f}</td><td class=\"num\">{:.2f}</td>"
            "<td>{}</td><td>{}</td><td>{}</td></tr>\n",
            line.sweep_number, line.step_number, line.frequency_hz, line.polarisation, line.start_utc,
            line.duration_s, line.current_a_rms, line.phase_deg, line.bus_v, line.battery_v,
            html(line.tuning), line.clock, html(line.remark));
    }
    return base::filled_template(embedded::logsheet::page(),
                                 {{"damage", damage}, {"fields", fields}, {"lines", lines}});
}

}  // namespace ampturn::sim::host
