#include "scheduler/rehearse/rehearsal_page.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>

#include "embedded/rehearsal.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/rehearse/rehearsal_json.hpp"

namespace ampturn::rehearse {
namespace {

using page::html_escaped;

std::string three(double value) { return base::brief(value, 3); }

std::string card(std::string_view css, std::string_view name, std::string_view value,
                 std::string_view small) {
    return fmt::format("<div class=\"{}\"><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", css,
                       html_escaped(name), html_escaped(value), html_escaped(small));
}

std::string cards(const station::RehearsalResult& r) {
    const auto measured =
        std::count_if(r.measured.begin(), r.measured.end(), [](const auto& m) { return m.measured; });
    std::string out = "<dl class=\"cards\">\n";
    if (r.answer.asked)
        out += card(r.answer.probability >= r.answer.confidence ? "good" : "bad", "question answered",
                    fmt::format("{:.0f} %", 100 * r.answer.probability),
                    fmt::format("of cases with {:g} % confidence", 100 * r.answer.confidence));
    out += card("", "impedances measured", fmt::format("{} of {}", measured, r.measured.size()),
                "station and frequency");
    const station::Agreement& a = r.agreement;
    if (a.elements > 0) {
        const auto within = [](double x) { return std::abs(x - 1) <= 0.2 ? "good" : "bad"; };
        out += card(within(a.scatter_over_planned), "scatter over planned bar", three(a.scatter_over_planned),
                    fmt::format("{} impedances against the truth", a.elements));
        out += card(within(a.jackknife_over_planned), "jackknife over planned bar",
                    three(a.jackknife_over_planned), "from the records alone");
        out += card("", "truth inside the bars",
                    fmt::format("{:.0f} and {:.0f} %", 100 * a.inside_one_sd, 100 * a.inside_two_sd),
                    "one and two standard deviations; 68 and 95 expected");
    }
    return out + "</dl>\n";
}

std::string curve_table(const station::RehearsalResult& r) {
    page::HtmlTable table("Impedances measured, one standard deviation",
                          {{"station"},
                           {"Hz", true},
                           {"xy ohm m", true},
                           {"bar %", true, "of the noise, jackknife"},
                           {"planned %", true},
                           {"sensors %", true, "what they may be off by; no dwell takes it away"},
                           {"true", true, "noise-free, with this source"},
                           {"xy deg", true},
                           {"yx ohm m", true},
                           {"bar %", true, "of the noise, jackknife"},
                           {"planned %", true},
                           {"plane wave ohm m", true},
                           {"coherence² xy", true},
                           {"remark"}});
    for (const station::StationFrequencyResult& m : r.measured) {
        const auto value = [&](double x) { return m.measured ? three(x) : std::string("-"); };
        table.row({r.stations[static_cast<std::size_t>(m.station_index)].name,
                   fmt::format("{:.6g}", m.frequency_hz), value(m.xy.resistivity_ohm_m),
                   value(m.xy.jackknife.resistivity_percent), value(m.xy.planned.resistivity_percent),
                   value(m.xy.sensors.resistivity_percent), value(m.xy.true_resistivity_ohm_m),
                   value(m.xy.phase_deg), value(m.yx.resistivity_ohm_m),
                   value(m.yx.jackknife.resistivity_percent), value(m.yx.planned.resistivity_percent),
                   three(m.plane_resistivity_ohm_m),
                   m.measured ? fmt::format("{:.4f}", m.xy.coherence2) : "-", m.why_not});
    }
    return page::collapsible("The numbers of all curves", table.html());
}

std::string section_table(const station::RehearsalResult& r) {
    page::HtmlTable table("Inversions",
                          {{"station"},
                           {"inversion"},
                           {"misfit rms", true, "1: fits to the error bars"},
                           {"fits"},
                           {"iterations", true},
                           {"parameters seen", true, "trace of the resolution matrix"},
                           {"depth of investigation m", true, "Christiansen & Auken (2012)"},
                           {"layers: ohm m from top m"},
                           {"layers tried: criterion", false,
                            "Bayesian information criterion (Schwarz 1978); the smallest is kept"}});
    for (const station::StationResult& s : r.stations) {
        if (s.sections.empty())
            table.row({s.name, s.note.empty() ? "-" : s.note, "", "", "", "", "", "", ""});
        for (const station::Section& section : s.sections) {
            std::string layers, tried;
            for (const model::inversion::LayerTrial& t : section.layer_trials)
                tried += fmt::format("{}{}: {}", tried.empty() ? "" : ", ", t.layers, three(t.criterion));
            if (!section.smooth)
                for (const station::SectionLayer& l : section.layers)
                    layers += fmt::format("{}{:.3g} from {:.3g}", layers.empty() ? "" : "; ",
                                          l.resistivity_ohm_m, l.top_m);
            table.row({s.name, section.name, three(section.misfit_rms), section.reached_target ? "yes" : "no",
                       std::to_string(section.iterations), three(section.parameters_resolved),
                       section.smooth ? three(section.depth_of_investigation_m) : "", layers, tried});
        }
    }
    return page::collapsible("All inversions in numbers", table.html());
}

std::string information_table(const station::Answer& a) {
    page::HtmlTable table("What each frequency tells about the question",
                          {{"Hz", true},
                           {"alone, nats", true, "host known"},
                           {"lost without it, nats", true},
                           {"W h", true},
                           {"lost per W h", true}});
    for (const station::FrequencyInformation& f : a.frequencies)
        table.row({fmt::format("{:.6g}", f.frequency_hz), three(f.information_nats),
                   three(f.information_loss_nats), three(f.energy_wh), three(f.nats_per_wh)});
    return page::collapsible("The numbers", table.html());
}

std::string question(const station::RehearsalResult& r) {
    if (!r.answer.asked) return "";
    return fmt::format("<h2>The question</h2>\n<p>{}</p>\n<p><strong>{}</strong></p>\n",
                       html_escaped(r.answer.text), html_escaped(r.answer.sentence));
}

std::string information(const station::RehearsalResult& r) {
    if (!r.answer.asked || r.answer.frequencies.empty()) return "";
    return std::string(embedded::rehearsal::information()) + information_table(r.answer);
}

std::string station_options(const station::RehearsalResult& r) {
    std::string out;
    for (std::size_t i = 0; i < r.stations.size(); ++i)
        out += fmt::format("<option value=\"{}\">{} ({:.0f} m)</option>", i, html_escaped(r.stations[i].name),
                           r.stations[i].offset_m);
    return out;
}

std::string body(const station::RehearsalResult& r) {
    return base::filled_template(
        embedded::rehearsal::body(),
        {{"survey", html_escaped(r.survey_name)},
         {"invented", r.invented
                          ? "<p class=\"invented\">Invented scenario: no real place, person or survey.</p>\n"
                          : ""},
         {"plan_path", html_escaped(r.plan_path)},
         {"plan_crc32", r.plan_crc32},
         {"seed", std::to_string(r.seed)},
         {"question", question(r)},
         {"cards", cards(r)},
         {"station_options", station_options(r)},
         {"curves", curve_table(r)},
         {"sections", section_table(r)},
         {"information", information(r)},
         {"notes", page::list_items(r.notes)},
         {"version", std::string(base::version())},
         {"git_hash", std::string(base::git_hash())}});
}

}  // namespace

std::string rehearsal_html(const station::RehearsalResult& result) {
    return page::html_page({.title = result.survey_name + ", rehearsal",
                            .body = body(result),
                            .data_json = base::json_text(rehearsal_json(result), -1),
                            .charts = embedded::rehearsal::charts()});
}

}  // namespace ampturn::rehearse
