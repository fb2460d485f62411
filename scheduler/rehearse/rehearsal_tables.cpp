#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scheduler/base/csv.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/rehearse/rehearsal_json.hpp"

namespace ampturn::rehearse {
namespace {

const std::string& station_name(const station::RehearsalResult& r, const station::StationFrequencyResult& m) {
    return r.stations[static_cast<std::size_t>(m.station_index)].name;
}

std::string curves(const station::RehearsalResult& r) {
    base::CsvTable table({"station",
                          "frequency_hz",
                          "element",
                          "resistivity_ohm_m",
                          "phase_deg",
                          "resistivity_sd_jackknife_percent",
                          "phase_sd_jackknife_deg",
                          "resistivity_sd_sensors_percent",
                          "phase_sd_sensors_deg",
                          "resistivity_sd_planned_percent",
                          "phase_sd_planned_deg",
                          "resistivity_sd_natural_uncorrelated_percent",
                          "true_resistivity_ohm_m",
                          "true_phase_deg",
                          "plane_resistivity_ohm_m",
                          "plane_phase_deg",
                          "coherence_squared",
                          "records_a",
                          "records_b",
                          "record_s",
                          "sample_rate_hz",
                          "energy_wh",
                          "why_not"});
    for (const station::StationFrequencyResult& m : r.measured)
        for (const bool xy : {true, false}) {
            const station::CurvePoint& p = xy ? m.xy : m.yx;
            const double nan = std::nan("");
            const auto value = [&](double x) { return m.measured ? x : nan; };
            table.cell(station_name(r, m))
                .cell(m.frequency_hz)
                .cell(xy ? "xy" : "yx")
                .cell(value(p.resistivity_ohm_m))
                .cell(value(p.phase_deg))
                .cell(value(p.jackknife.resistivity_percent))
                .cell(value(p.jackknife.phase_deg))
                .cell(value(p.sensors.resistivity_percent))
                .cell(value(p.sensors.phase_deg))
                .cell(value(p.planned.resistivity_percent))
                .cell(value(p.planned.phase_deg))
                .cell(value(p.planned_upper.resistivity_percent))
                .cell(value(p.true_resistivity_ohm_m))
                .cell(value(p.true_phase_deg))
                .cell(m.plane_resistivity_ohm_m)
                .cell(m.plane_phase_deg)
                .cell(value(p.coherence2))
                .cell(m.records_a)
                .cell(m.records_b)
                .cell(m.record_s)
                .cell(m.sample_rate_hz)
                .cell(m.energy_wh)
                .cell(m.why_not);
            table.end_row();
        }
    return table.text();
}

std::string natural(const station::RehearsalResult& r) {
    base::CsvTable table({"station", "centre_hz", "resistivity_h_reference_ohm_m",
                          "resistivity_e_reference_ohm_m", "phase_deg", "resistivity_sd_jackknife_percent",
                          "phase_sd_jackknife_deg", "coherence_squared", "true_resistivity_ohm_m",
                          "true_phase_deg"});
    for (const station::StationFrequencyResult& m : r.measured)
        for (const station::NaturalPoint& n : m.natural) {
            table.cell(station_name(r, m))
                .cell(n.centre_hz)
                .cell(n.resistivity_low_ohm_m)
                .cell(n.resistivity_high_ohm_m)
                .cell(n.phase_deg)
                .cell(n.jackknife.resistivity_percent)
                .cell(n.jackknife.phase_deg)
                .cell(n.coherence2)
                .cell(n.true_resistivity_ohm_m)
                .cell(n.true_phase_deg);
            table.end_row();
        }
    return table.text();
}

std::string spectra(const station::RehearsalResult& r) {
    base::CsvTable table({"station", "frequency_hz", "e_v_per_m_rthz", "h_a_per_m_rthz", "is_line"});
    for (const station::StationResult& s : r.stations)
        for (const station::SpectrumPoint& p : s.spectrum) {
            table.cell(s.name)
                .cell(p.frequency_hz)
                .cell(p.e_v_per_m_rthz)
                .cell(p.h_a_per_m_rthz)
                .cell(p.line);
            table.end_row();
        }
    return table.text();
}

std::string sections(const station::RehearsalResult& r) {
    base::CsvTable table({"station", "inversion", "layer", "top_m", "resistivity_ohm_m", "sd_decades",
                          "misfit_rms", "reached_target", "depth_of_investigation_m"});
    for (const station::StationResult& s : r.stations)
        for (const station::Section& section : s.sections)
            for (std::size_t i = 0; i < section.layers.size(); ++i) {
                table.cell(s.name)
                    .cell(section.name)
                    .cell(static_cast<int>(i + 1))
                    .cell(section.layers[i].top_m)
                    .cell(section.layers[i].resistivity_ohm_m)
                    .cell(section.layers[i].sd_decades)
                    .cell(section.misfit_rms)
                    .cell(section.reached_target)
                    .cell(section.smooth ? section.depth_of_investigation_m : std::nan(""));
                table.end_row();
            }
    return table.text();
}

std::string information(const station::Answer& a) {
    base::CsvTable table({"frequency_hz", "information_alone_nats", "lost_without_nats", "energy_wh",
                          "lost_without_nats_per_wh"});
    for (const station::FrequencyInformation& f : a.frequencies) {
        table.cell(f.frequency_hz)
            .cell(f.information_nats)
            .cell(f.information_loss_nats)
            .cell(f.energy_wh)
            .cell(f.nats_per_wh);
        table.end_row();
    }
    return table.text();
}

}  // namespace

std::vector<base::NamedText> rehearsal_tables(const station::RehearsalResult& result) {
    std::vector<base::NamedText> tables{{"curves.csv", curves(result)},
                                        {"natural.csv", natural(result)},
                                        {"spectra.csv", spectra(result)},
                                        {"sections.csv", sections(result)}};
    if (result.answer.asked) tables.push_back({"information.csv", information(result.answer)});
    return tables;
}

std::string rehearsal_text(const station::RehearsalResult& r) {
    std::string text =
        base::wrapped(fmt::format("{}{}, rehearsed with seed {} (all data synthetic)", r.survey_name,
                                  r.invented ? " (invented scenario)" : "", r.seed),
                      100, 0);
    if (r.answer.asked)
        text += base::wrapped_item("question: ", r.answer.text, 100, 0) +
                base::wrapped_item("answer: ", r.answer.sentence, 100, 0);
    const auto measured =
        std::count_if(r.measured.begin(), r.measured.end(), [](const auto& m) { return m.measured; });
    text += fmt::format("{} of {} readings measured\n", measured, r.measured.size());
    const station::Agreement& a = r.agreement;
    if (a.elements > 0)
        text += base::wrapped(
            fmt::format("Error bars of {} impedances: scatter about the truth {:.2f} and jackknife "
                        "{:.2f} times the planned bars; "
                        "truth inside one bar {:.0f} %, inside two {:.0f} % (68 and 95 expected). "
                        "Natural field counted as uncorrelated noise would plan bars {:.2f} times as long.",
                        a.elements, a.scatter_over_planned, a.jackknife_over_planned, 100 * a.inside_one_sd,
                        100 * a.inside_two_sd, a.planned_upper_over_planned),
            100, 0);
    base::TextTable table({{"station"},
                           {"offset m", base::CellSide::right},
                           {"measured", base::CellSide::right},
                           {"plane wave", base::CellSide::right, "fit rms"},
                           {"true source", base::CellSide::right, "fit rms"},
                           {"layers", base::CellSide::right},
                           {"depth of investigation m", base::CellSide::right},
                           {"remark"}});
    for (std::size_t i = 0; i < r.stations.size(); ++i) {
        const station::StationResult& s = r.stations[i];
        const auto own = std::count_if(r.measured.begin(), r.measured.end(), [&](const auto& m) {
            return m.measured && m.station_index == static_cast<int>(i);
        });
        std::string plane = "-", aware = "-", layers = "-", sees = "-";
        for (const station::Section& section : s.sections) {
            if (section.smooth)
                (section.source_aware ? aware : plane) =
                    fmt::format("{:.2f}{}", section.misfit_rms, section.reached_target ? "  " : " !");
            if (section.source_aware && section.smooth)
                sees = fmt::format("{:.0f}", section.depth_of_investigation_m);
            if (section.source_aware && !section.smooth) layers = std::to_string(section.layers.size());
        }
        table.row({{s.name},
                   {fmt::format("{:.0f}", s.offset_m)},
                   {std::to_string(own)},
                   {plane},
                   {aware},
                   {layers},
                   {sees},
                   {s.note}});
    }
    return text + "\n" + table.text(100, 0, false) +
           base::wrapped(
               "Fit rms 1: the smooth ground fits to the error bars; !: none fits that well. "
               "Layers: as many as the data ask for (Schwarz 1978), true source.",
               100, 0);
}

}  // namespace ampturn::rehearse
