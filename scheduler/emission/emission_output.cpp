#include "scheduler/emission/emission_output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::emission {
namespace {

using model::emission::db_of_micro;
using model::emission::LimitedField;
using nlohmann::json;

// Never up: what is allowed.
std::string allowed_db_text(double per_m) {
    return base::decimals(-setup::rounded_up_to_tenth(-db_of_micro(per_m)), 1);
}

// "3.2 dB above", never less than it is.
std::string excess_text(const AgainstLimit& against) {
    const double excess_db = setup::rounded_up_to_tenth(against.excess_db());
    return fmt::format("{:.1f} dB {}", std::abs(excess_db), excess_db > 0 ? "above" : "below");
}

const char* unit_of(LimitedField field) { return field == LimitedField::magnetic ? "A/m" : "V/m"; }

std::string line_text(const Line& line) {
    const std::string step = fmt::format("step {}{}, {}", line.step_number, name_of(line.loop),
                                         base::frequency_text(line.frequency_hz));
    return line.order == 1 ? step : fmt::format("harmonic {} of {}", line.order, step);
}

/// A table or own limit: the band that does worst, and how many of its bands do badly.
struct TableVerdict {
    const LimitVerdict* worst;
    int bands, bands_above;
};
std::vector<TableVerdict> by_table(const SweepEmission& emission) {
    std::vector<TableVerdict> out;
    for (const LimitVerdict& v : emission.verdicts) {
        if (!v.worst) continue;
        if (out.empty() || out.back().worst->key != v.key || out.back().worst->limit.name != v.limit.name)
            out.push_back({&v, 0, 0});
        TableVerdict& table = out.back();
        ++table.bands;
        table.bands_above += v.worst->excess_db() > 0 ? 1 : 0;
        if (v.worst->excess_db() > table.worst->worst->excess_db()) table.worst = &v;
    }
    return out;
}

std::string sentence(const TableVerdict& table) {
    const AgainstLimit& worst = table.worst->worst.value();
    const model::emission::EmissionLimit& limit = table.worst->limit;
    const char* unit = unit_of(limit.field);
    const std::string others = table.bands > 1 ? fmt::format(" Above in {} of the {} bands that it sends in.",
                                                             table.bands_above, table.bands)
                                               : "";
    return fmt::format(
        "Radio: {}, {} to {}, at {:g} m: {} dB(u{}), {} {} ({}); the limit there is {} dB(u{}) ({}): {}.{} "
        "A planning aid, not legal advice: ask the licensing authority.",
        limit.name, base::frequency_text(limit.low_hz), base::frequency_text(limit.high_hz), limit.distance_m,
        db_text(worst.strength), unit, setup::safety_significant_text(worst.strength, 3), unit,
        line_text(worst.line), allowed_db_text(worst.allowed), unit, limit.source, excess_text(worst),
        others);
}

json line_json(const Line& line) {
    return {{"step", line.step_number},
            {"loop", name_of(line.loop)},
            {"order", line.order},
            {"frequency_hz", line.frequency_hz},
            {"moment_a_a_m2_rms", line.moment_a_m2_rms[0]},
            {"moment_b_a_m2_rms", line.moment_a_m2_rms[1]}};
}

json field_json(const FieldStrength& f) {
    return {{"distance_m", f.distance_m},
            {"h_a_per_m_rms", f.largest_h_a_per_m()},
            {"h_dbua_per_m", db_of_micro(f.largest_h_a_per_m())},
            {"free_space_h_a_per_m_rms", f.free_h_a_per_m},
            {"ground_h_a_per_m_rms", f.ground_h_a_per_m ? json(*f.ground_h_a_per_m) : json(nullptr)},
            {"free_space_e_v_per_m_rms", f.free_e_v_per_m},
            {"counted_e_v_per_m_rms", f.counted_e_v_per_m()},
            {"counted_e_dbuv_per_m", db_of_micro(f.counted_e_v_per_m())}};
}

json against_json(const SweepEmission& emission, const AgainstLimit& against) {
    return {{"limit", emission.verdicts[against.verdict_index].limit.name},
            {"line", line_json(against.line)},
            {"field", field_json(against.field)},
            {"strength", against.strength},
            {"allowed", against.allowed},
            {"excess_db", against.excess_db()}};
}

// The harmonics that are most above a limit, service by service.
std::vector<const HarmonicOnService*> worst_harmonics(const SweepEmission& emission) {
    std::vector<const HarmonicOnService*> out;
    for (const HarmonicOnService& h : emission.harmonics) {
        const auto same = std::find_if(out.begin(), out.end(), [&](const HarmonicOnService* known) {
            return known->service.name == h.service.name && known->service.low_hz == h.service.low_hz &&
                   known->service.high_hz == h.service.high_hz;
        });
        if (same == out.end())
            out.push_back(&h);
        else if (h.against.excess_db() > (*same)->against.excess_db())
            *same = &h;
    }
    return out;
}

}  // namespace

std::string db_text(double per_m) { return setup::safety_figure_text(db_of_micro(per_m)); }

std::string against_text(const SweepEmission& emission, const StepEmission& step) {
    if (!step.worst) return "-";
    const std::string text = fmt::format("{} {}", excess_text(*step.worst),
                                         emission.verdicts[step.worst->verdict_index].limit.name);
    return step.worst->line.order == 1 ? text : fmt::format("{}, harmonic {}", text, step.worst->line.order);
}

std::vector<std::string> verdict_sentences(const SweepEmission& emission) {
    std::vector<std::string> out;
    for (const TableVerdict& table : by_table(emission)) out.push_back(sentence(table));
    return out;
}

std::vector<plan::Remark> emission_remarks(const plan::Plan& plan, const SweepEmission& emission) {
    plan::Remarks out(plan);
    for (const TableVerdict& table : by_table(emission))
        if (table.bands_above > 0) out.add(table.worst->key, sentence(table));
    for (const HarmonicOnService* h : worst_harmonics(emission)) {
        const plan::Step& step =
            plan.sweep.steps.at(static_cast<std::size_t>(h->against.line.step_number - 1));
        out.add(step.key(),
                fmt::format("{}, falls in the band of \"{}\", {} to {}, {} {}: `ampturn frequencies` "
                            "looks for a clear one",
                            line_text(h->against.line), h->service.name,
                            base::frequency_text(h->service.low_hz), base::frequency_text(h->service.high_hz),
                            excess_text(h->against), emission.verdicts[h->against.verdict_index].limit.name));
    }
    return std::move(out).sorted();
}

std::vector<std::string> service_sentences(const SweepEmission& emission) {
    std::vector<std::string> out;
    for (const ServiceHit& hit : emission.services)
        out.push_back(
            fmt::format("{} to {}, {} ({}): {} line{}, strongest {}, {} dB(uA/m) at {:g} m",
                        base::frequency_text(hit.service.low_hz), base::frequency_text(hit.service.high_hz),
                        hit.service.name, hit.service.source, hit.lines, hit.lines == 1 ? "" : "s",
                        line_text(hit.line), db_text(hit.field.largest_h_a_per_m()), hit.field.distance_m));
    return out;
}

std::string emission_text(const SweepEmission& emission, bool colour) {
    base::TextTable t({{"step", base::CellSide::right},
                       {"Hz", base::CellSide::right},
                       {"A/m", base::CellSide::right, "10 m"},
                       {"dB(uA/m)", base::CellSide::right, "10 m"},
                       {"ground", base::CellSide::right, "10 m"},
                       {"A/m", base::CellSide::right, "30 m"},
                       {"dB(uA/m)", base::CellSide::right, "30 m"},
                       {"ground", base::CellSide::right, "30 m"},
                       {"A/m", base::CellSide::right, "300 m"},
                       {"dB(uA/m)", base::CellSide::right, "300 m"},
                       {"ground", base::CellSide::right, "300 m"},
                       {"against the limits", base::CellSide::left}});
    for (const StepEmission& step : emission.steps) {
        std::vector<base::TextCell> row{{fmt::format("{}{}", step.line.step_number, name_of(step.line.loop))},
                                        {base::significant(step.line.frequency_hz, 5)}};
        for (const FieldStrength& f : step.at) {
            row.push_back({setup::safety_significant_text(f.largest_h_a_per_m(), 3)});
            row.push_back({db_text(f.largest_h_a_per_m())});
            row.push_back({f.ground_h_a_per_m ? db_text(*f.ground_h_a_per_m) : "-"});
        }
        row.push_back({against_text(emission, step)});
        t.row(std::move(row));
    }
    std::string out = t.text(1000, 0, colour);
    for (const std::string& s : verdict_sentences(emission)) out += base::wrapped_item("- ", s, 110, 0);
    for (const std::string& s : service_sentences(emission)) out += base::wrapped_item("! ", s, 110, 0);
    return out;
}

nlohmann::json emission_json(const SweepEmission& emission) {
    json steps = json::array(), limits = json::array(), services = json::array(), harmonics = json::array();
    for (const StepEmission& step : emission.steps) {
        json row = line_json(step.line);
        for (const FieldStrength& f : step.at) row["at"].push_back(field_json(f));
        row["worst"] = step.worst ? against_json(emission, *step.worst) : json(nullptr);
        steps.push_back(std::move(row));
    }
    for (const LimitVerdict& v : emission.verdicts) {
        json row{{"name", v.limit.name},
                 {"source", v.limit.source},
                 {"low_hz", v.limit.low_hz},
                 {"high_hz", v.limit.high_hz},
                 {"distance_m", v.limit.distance_m},
                 {"unit", unit_of(v.limit.field)},
                 {"worst", nullptr}};
        if (v.worst) row["worst"] = against_json(emission, *v.worst);
        limits.push_back(std::move(row));
    }
    for (const ServiceHit& hit : emission.services)
        services.push_back({{"name", hit.service.name},
                            {"source", hit.service.source},
                            {"low_hz", hit.service.low_hz},
                            {"high_hz", hit.service.high_hz},
                            {"lines", hit.lines},
                            {"strongest", line_json(hit.line)},
                            {"field", field_json(hit.field)}});
    for (const HarmonicOnService& h : emission.harmonics)
        harmonics.push_back({{"service", h.service.name},
                             {"low_hz", h.service.low_hz},
                             {"high_hz", h.service.high_hz},
                             {"against", against_json(emission, h.against)}});
    return {
        {"steps", steps}, {"limits", limits}, {"services", services}, {"harmonics_on_services", harmonics}};
}

}  // namespace ampturn::emission
