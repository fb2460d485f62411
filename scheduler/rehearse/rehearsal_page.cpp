#include "scheduler/rehearse/rehearsal_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>

#include "embedded/rehearsal.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/page/html.hpp"
#include "scheduler/page/html_page.hpp"
#include "scheduler/rehearse/rehearsal_json.hpp"

namespace ampturn::rehearse {
namespace {

using plan::html_escaped;

std::string three(double value) { return std::isfinite(value) ? fmt::format("{:.3g}", value) : "-"; }

std::string card(std::string_view css, std::string_view name, std::string_view value,
                 std::string_view small) {
    return fmt::format("<div class=\"{}\"><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", css,
                       html_escaped(name), html_escaped(value), html_escaped(small));
}

std::string cards(const RehearsalResult& r) {
    const auto measured =
        std::count_if(r.measured.begin(), r.measured.end(), [](const auto& m) { return m.measured; });
    std::string out = "<dl class=\"cards\">\n";
    if (r.answer.asked)
        out += card(r.answer.probability >= r.answer.confidence ? "good" : "bad", "question answered",
                    fmt::format("{:.0f} %", 100 * r.answer.probability),
                    fmt::format("of cases with {:g} % confidence", 100 * r.answer.confidence));
    out += card("", "impedances measured", fmt::format("{} of {}", measured, r.measured.size()),
                "station and frequency");
    const Agreement& a = r.agreement;
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

std::string curve_table(const RehearsalResult& r) {
    plan::HtmlTable table("Impedances measured, one standard deviation",
                          {{"station"},
                           {"Hz", true},
                           {"xy ohm m", true},
                           {"bar %", true, "jackknife"},
                           {"planned %", true},
                           {"true", true, "noise-free, with this source"},
                           {"xy deg", true},
                           {"yx ohm m", true},
                           {"bar %", true, "jackknife"},
                           {"planned %", true},
                           {"plane wave ohm m", true},
                           {"coherence² xy", true},
                           {"remark"}});
    for (const StationFrequencyResult& m : r.measured) {
        const auto value = [&](double x) { return m.measured ? three(x) : std::string("-"); };
        table.row({r.stations[static_cast<std::size_t>(m.station_index)].name,
                   fmt::format("{:.6g}", m.frequency_hz), value(m.xy.resistivity_ohm_m),
                   value(m.xy.jackknife.resistivity_percent), value(m.xy.planned.resistivity_percent),
                   value(m.xy.true_resistivity_ohm_m), value(m.xy.phase_deg), value(m.yx.resistivity_ohm_m),
                   value(m.yx.jackknife.resistivity_percent), value(m.yx.planned.resistivity_percent),
                   three(m.plane_resistivity_ohm_m),
                   m.measured ? fmt::format("{:.4f}", m.xy.coherence2) : "-", m.why_not});
    }
    return plan::collapsible("The numbers of all curves", table.html());
}

std::string section_table(const RehearsalResult& r) {
    plan::HtmlTable table("Inversions",
                          {{"station"},
                           {"inversion"},
                           {"misfit rms", true, "1: fits to the error bars"},
                           {"fits"},
                           {"iterations", true},
                           {"parameters seen", true, "trace of the resolution matrix"},
                           {"sees to m", true, "depth of investigation (Christiansen & Auken 2012)"},
                           {"layers: ohm m from top m"},
                           {"layers tried: criterion", false,
                            "Bayesian information criterion (Schwarz 1978); "
                            "the smallest is kept"}});
    for (const StationResult& s : r.stations) {
        if (s.sections.empty())
            table.row({s.name, s.note.empty() ? "-" : s.note, "", "", "", "", "", "", ""});
        for (const Section& section : s.sections) {
            std::string layers, tried;
            for (const model::LayerTrial& t : section.layer_trials)
                tried += fmt::format("{}{}: {}", tried.empty() ? "" : ", ", t.layers, three(t.criterion));
            if (!section.smooth)
                for (const SectionLayer& l : section.layers)
                    layers += fmt::format("{}{:.3g} from {:.3g}", layers.empty() ? "" : "; ",
                                          l.resistivity_ohm_m, l.top_m);
            table.row({s.name, section.name, three(section.misfit_rms), section.reached_target ? "yes" : "no",
                       std::to_string(section.iterations), three(section.parameters_resolved),
                       section.smooth ? three(section.depth_of_investigation_m) : "", layers, tried});
        }
    }
    return plan::collapsible("All inversions in numbers", table.html());
}

std::string information_table(const Answer& a) {
    plan::HtmlTable table("What each frequency tells about the question",
                          {{"Hz", true},
                           {"alone, nats", true, "host known"},
                           {"lost without it, nats", true},
                           {"W h", true},
                           {"lost per W h", true}});
    for (const FrequencyInformation& f : a.frequencies)
        table.row({fmt::format("{:.6g}", f.frequency_hz), three(f.information_nats), three(f.lost_nats),
                   three(f.energy_wh), three(f.nats_per_wh)});
    return plan::collapsible("The numbers", table.html());
}

std::string chart(std::string_view id, std::string_view label, std::string_view caption, bool tall) {
    return fmt::format(
        "<figure><div class=\"chart{}\" id=\"{}\" role=\"img\" "
        "aria-label=\"{}\"></div><figcaption>{}</figcaption>"
        "</figure>\n",
        tall ? " tall" : "", id, html_escaped(label), html_escaped(caption));
}

std::string body(const RehearsalResult& r) {
    std::string out = fmt::format("<header><h1>{}: rehearsal</h1>\n", html_escaped(r.survey_name));
    if (r.invented) out += "<p class=\"invented\">Invented scenario: no real place, person or survey.</p>\n";
    out += fmt::format(
        "<p class=\"soft\">All data on this page are synthetic: what receivers would record while the "
        "simulated day's "
        "sweeps run. Plan {}, checksum {}, seed {}.</p></header>\n<main>\n",
        html_escaped(r.plan_path), r.plan_crc32, r.seed);
    if (r.answer.asked)
        out += fmt::format("<h2>The question</h2>\n<p>{}</p>\n<p><strong>{}</strong></p>\n",
                           html_escaped(r.answer.text), html_escaped(r.answer.sentence));
    out += cards(r);
    out +=
        "<h2>Curves, spectra and ground at a station</h2>\n<p class=\"on-screen\"><label "
        "for=\"station\">Station "
        "</label><select id=\"station\">";
    for (std::size_t i = 0; i < r.stations.size(); ++i)
        out += fmt::format("<option value=\"{}\">{} ({:.0f} m)</option>", i, html_escaped(r.stations[i].name),
                           r.stations[i].offset_m);
    out += "</select></p>\n";
    out += chart(
        "chart-curve", "apparent resistivity and phase against frequency with error bars",
        "Points: measured, bars from the jackknife. Where the points leave the dashed plane wave, the source "
        "is near: that is the source, not the ground.",
        true);
    out += chart(
        "chart-section", "resistivity against depth, inversions and truth",
        "A plane-wave inversion takes the near zone for a conductor at depth; the inversion that knows the "
        "source does not. Few layers start from the smooth ground, as many as the data ask for.",
        true);
    out += chart("chart-spectrum", "spectra of electric and magnetic field",
                 "Mean of both axes, pieced together from the steps of loop A; black: the lines.", true);
    out += curve_table(r);
    out += "<h2>All stations</h2>\n";
    out += chart("chart-profile", "smooth inversions of all stations side by side with the truth",
                 "Paler: below the depth of investigation.", true);
    out += section_table(r);
    if (r.answer.asked && !r.answer.frequencies.empty()) {
        out += "<h2>Which frequencies carry the answer</h2>\n";
        out += chart(
            "chart-information", "information of each frequency",
            "Information in nats; lost without it: what the rest cannot make up for. Dwell is best spent "
            "where the loss per watt-hour is largest.",
            true);
        out += information_table(r.answer);
    }
    out += "<h2>What was assumed</h2>\n<ul>\n";
    for (const std::string& note : r.notes) out += fmt::format("<li>{}</li>\n", html_escaped(note));
    out += fmt::format(
        "</ul>\n</main>\n<footer>ampturn {} ({}). A rehearsal on paper: it shows what the plan can yield, "
        "not what the "
        "ground holds. Before energising the real loop follow the plan's cautions, local rules and the "
        "responsible "
        "person.</footer>\n",
        plan::version(), plan::git_hash());
    return out;
}

}  // namespace

std::string rehearsal_html(const RehearsalResult& result) {
    return plan::html_page({.title = result.survey_name + ", rehearsal",
                            .body = body(result),
                            .data_json = rehearsal_json(result).dump(),
                            .charts = embedded::rehearsal::charts()});
}

}  // namespace ampturn::rehearse
