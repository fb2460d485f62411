#include "scheduler/sweep/sweep_frequencies.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/plan/placement_rules.hpp"

namespace ampturn::sweep {

namespace {

using nlohmann::json;

std::string ordinal(int n) {
    const int last = n % 10;
    const bool teen = n % 100 >= 11 && n % 100 <= 13;
    return fmt::format("{}{}", n,
                       teen || last == 0 || last > 3 ? "th"
                       : last == 1                   ? "st"
                       : last == 2                   ? "nd"
                                                     : "rd");
}

std::string signed_hz(double hz) {
    return fmt::format("{}{}", hz < 0 ? "-" : "+", base::brief(std::abs(hz), 3));
}

// What harmonics of the line fall on a service, one text for all of them.
std::string service_text(const model::receiver::PlacementRemark& r, std::vector<int> orders) {
    std::string band =
        fmt::format("in the band of {}, {} to {}", r.other, base::frequency_text(r.other_hz - r.guard_hz),
                    base::frequency_text(r.other_hz + r.guard_hz));
    if (orders.front() == 1) return band;
    if (orders.size() == 1) return fmt::format("its {} harmonic is {}", ordinal(orders.front()), band);
    std::sort(orders.begin(), orders.end());
    std::string list;
    for (std::size_t i = 0; i < orders.size(); ++i)
        list += (i == 0 ? "" : i + 1 == orders.size() ? " and " : ", ") + ordinal(orders[i]);
    return fmt::format("its {} harmonics are {}", list, band);
}

// The remarks in words, harmonics on one service together; each after the name of its fault where `named`.
std::string reasons_text(const std::vector<model::receiver::PlacementRemark>& remarks, bool named) {
    using model::receiver::PlacementFault;
    std::string out;
    for (auto r = remarks.begin(); r != remarks.end(); ++r) {
        const auto same = [&](const model::receiver::PlacementRemark& other) {
            return r->fault == PlacementFault::service && other.fault == r->fault && r->order > 1 &&
                   other.order > 1 && other.other == r->other && other.other_hz == r->other_hz &&
                   other.guard_hz == r->guard_hz;
        };
        if (std::any_of(remarks.begin(), r, same)) continue;
        std::string text = remark_text(*r);
        if (r->fault == PlacementFault::service && r->order > 1) {
            std::vector<int> orders;
            for (auto other = r; other != remarks.end(); ++other)
                if (same(*other)) orders.push_back(other->order);
            text = service_text(*r, std::move(orders));
        }
        out += fmt::format("{}{}{}", out.empty() ? "" : "; ",
                           named ? fmt::format("{}: ", name_of(r->fault)) : "", text);
    }
    return out;
}

double dwell_of(const plan::Plan& plan, double frequency_hz) {
    for (const plan::Step& s : plan.sweep.steps)
        if (s.frequency_hz == frequency_hz) return s.dwell_s;
    return 0;
}

}  // namespace

std::string remark_text(const model::receiver::PlacementRemark& r) {
    using model::receiver::PlacementFault;
    switch (r.fault) {
        case PlacementFault::mains:
            return fmt::format("{} Hz from the {} harmonic of {:g} Hz mains, guard {} Hz",
                               signed_hz(r.distance_hz), ordinal(r.order), r.other_hz,
                               base::brief(r.guard_hz, 3));
        case PlacementFault::interferer:
            return fmt::format("{} Hz from {} at {}, guard {} Hz", signed_hz(r.distance_hz),
                               r.other.empty() ? "an interferer" : r.other, base::frequency_text(r.other_hz),
                               base::brief(r.guard_hz, 3));
        case PlacementFault::harmonic_of_other:
            return r.order > 0
                       ? fmt::format("{} Hz from the {} harmonic of the frequency {}",
                                     signed_hz(r.distance_hz), ordinal(r.order),
                                     base::frequency_text(r.other_hz))
                       : fmt::format("its {} harmonic falls {} Hz from the frequency {}", ordinal(-r.order),
                                     signed_hz(r.distance_hz), base::frequency_text(r.other_hz));
        case PlacementFault::beyond_receiver:
            return fmt::format("above {}, 90 % of half the receiver's sample rate",
                               base::frequency_text(r.other_hz));
        case PlacementFault::service:
            return service_text(r, {r.order});
        case PlacementFault::off_bin:
            return fmt::format("{} Hz off the nearest bin of the receiver", signed_hz(r.distance_hz));
    }
    return "?";
}

std::string frequencies_text(const plan::Plan& plan,
                             const std::vector<model::receiver::PlacementVerdict>& verdicts, bool colour) {
    const model::receiver::PlacementRules rules = plan::placement_rules_of(plan);
    base::TextTable table({{"requested Hz", base::CellSide::right},
                           {"actual Hz", base::CellSide::right},
                           {"ppm", base::CellSide::right},
                           {"cycles", base::CellSide::right},
                           {"bin", base::CellSide::right},
                           {"off", base::CellSide::right},
                           {"mains", base::CellSide::right},
                           {"Hz away", base::CellSide::right},
                           {"guard", base::CellSide::right},
                           {"verdict and reason", base::CellSide::left}});
    int clean = 0;
    for (const model::receiver::PlacementVerdict& v : verdicts) {
        clean += v.clean() ? 1 : 0;
        std::string reason = v.clean() ? "clean" : reasons_text(v.remarks, true);
        if (!v.clean())
            reason += v.alternative_hz ? fmt::format("; nearest clean: {:.6g} Hz", *v.alternative_hz)
                                       : std::string("; nothing clean within 10 %");
        const double cycles = std::ceil(dwell_of(plan, v.requested_hz) * v.frequency_hz - 1e-9);
        table.row({{fmt::format("{:.8g}", v.requested_hz)},
                   {fmt::format("{:.8g}", v.frequency_hz)},
                   {base::brief(v.drive.error_ppm, 3)},
                   {fmt::format("{:.0f}", cycles)},
                   {std::to_string(v.bin.bin)},
                   {base::brief(v.bin.offset_bins, 2)},
                   {rules.mains_hz > 0 ? fmt::format("{} x {}", v.mains.harmonic, rules.mains_hz) : "-"},
                   {rules.mains_hz > 0 ? signed_hz(v.mains.offset_hz) : "-"},
                   {rules.mains_hz > 0 ? base::brief(v.mains_guard_hz, 3) : "-"},
                   {reason, v.clean() ? 32 : 31}});
    }
    std::string out =
        fmt::format("Frequencies of {}{}: clock {} Hz, receiver bins of {} Hz, main lobe +-{:g} bins\n\n",
                    plan.sweep.name, plan.survey.invented ? " (invented scenario)" : "", rules.clock_hz,
                    base::brief(rules.bin_width_hz(), 6), rules.guard_bins);
    out += table.text(110, 0, colour);
    out += fmt::format("\n{} of {} frequencies clean\n", clean, verdicts.size());
    return out;
}

nlohmann::json frequencies_json(const plan::Plan& plan,
                                const std::vector<model::receiver::PlacementVerdict>& verdicts) {
    json frequencies = json::array();
    for (const model::receiver::PlacementVerdict& v : verdicts) {
        json remarks = json::array();
        for (const auto& r : v.remarks)
            remarks.push_back({{"fault", name_of(r.fault)},
                               {"order", r.order},
                               {"distance_hz", r.distance_hz},
                               {"guard_hz", r.guard_hz},
                               {"other_hz", r.other_hz},
                               {"text", remark_text(r)}});
        json row{{"requested_hz", v.requested_hz},
                 {"frequency_hz", v.frequency_hz},
                 {"divisor", v.drive.divisor},
                 {"error_ppm", v.drive.error_ppm},
                 {"bin", v.bin.bin},
                 {"bin_offset", v.bin.offset_bins},
                 {"bin_exact", v.bin.exact},
                 {"mains_order", v.mains.harmonic},
                 {"mains_distance_hz", v.mains.offset_hz},
                 {"mains_guard_hz", v.mains_guard_hz},
                 {"clean", v.clean()},
                 {"remarks", remarks},
                 {"alternative_hz", nullptr},
                 {"alternative_divisor", nullptr}};
        if (v.alternative_hz) {
            row["alternative_hz"] = *v.alternative_hz;
            row["alternative_divisor"] = v.alternative_divisor;
        }
        frequencies.push_back(row);
    }
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"plan_crc32", base::crc32_text(plan.source.crc32)},
            {"invented", plan.survey.invented},
            {"frequencies", frequencies}};
}

std::string proposal_text(const model::receiver::PlacementRules& rules,
                          const std::vector<model::receiver::ProposedFrequency>& proposed) {
    base::TextTable table({{"wanted Hz", base::CellSide::right},
                           {"frequency Hz", base::CellSide::right},
                           {"divisor", base::CellSide::right},
                           {"moved %", base::CellSide::right},
                           {"bin", base::CellSide::right},
                           {"why it moved", base::CellSide::left}});
    std::string list;
    int found = 0;
    for (const auto& p : proposed) {
        // What the clock's nearest would have met.
        std::string why;
        const auto wanted = model::receiver::ratio_of_double(std::round(p.wanted_hz * 1e6) / 1e6);
        if (wanted) {
            const auto nearest = model::receiver::nearest_divisor(rules.clock_hz, *wanted);
            why = reasons_text(model::receiver::placement_remarks(rules, nearest.divisor, {}), false);
        }
        if (!p.divisor) {
            table.row({{fmt::format("{:.6g}", p.wanted_hz)},
                       {"-"},
                       {"-"},
                       {"-"},
                       {"-"},
                       {"nothing clean within half the spacing" + (why.empty() ? "" : "; " + why)}});
            continue;
        }
        ++found;
        const auto place = model::receiver::bin_place(rules.sample_rate_hz, rules.record_length,
                                                      {rules.clock_hz, *p.divisor});
        table.row(
            {{fmt::format("{:.6g}", p.wanted_hz)},
             {fmt::format("{:.8g}", p.frequency_hz)},
             {std::to_string(*p.divisor)},
             {base::brief(100 * (p.frequency_hz / p.wanted_hz - 1), 2)},
             {fmt::format("{}{}", place.bin, place.exact ? "" : fmt::format("{:+.3f}", place.offset_bins))},
             {why.empty() ? "-" : why}});
        list += fmt::format("{}{}", list.empty() ? "" : ", ", base::toml_number(p.frequency_hz));
    }
    return fmt::format("{}\n{} of {} frequencies found\n\n[sweep]\nfrequencies_hz = [{}]\n",
                       table.text(110, 0, false), found, proposed.size(), list);
}

nlohmann::json proposal_json(const plan::Plan& plan,
                             const std::vector<model::receiver::ProposedFrequency>& proposed) {
    json out = json::array();
    for (const auto& p : proposed)
        out.push_back({{"wanted_hz", p.wanted_hz},
                       {"frequency_hz", p.divisor ? json(p.frequency_hz) : json(nullptr)},
                       {"divisor", p.divisor ? json(*p.divisor) : json(nullptr)}});
    return {{"generator", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"plan", plan.source.path},
            {"proposed", out}};
}

}  // namespace ampturn::sweep
