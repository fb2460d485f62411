#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::weigh {

namespace {

constexpr std::size_t no_wrap = 1000;
std::string number(double v, int digits = 4) { return base::significant(v, digits); }

base::TextTable front_table(const Choices& choices, const Weighed& weighed) {
    using base::CellSide;
    base::TextTable t({{"", CellSide::right},
                       {"moment A m2", CellSide::right},
                       {"kg", CellSide::right},
                       {"Wh", CellSide::right},
                       {"loads", CellSide::right},
                       {"turns", CellSide::left},
                       {"wire mm2", CellSide::right},
                       {"area m2", CellSide::right},
                       {"bus V", CellSide::right},
                       {"battery", CellSide::left},
                       {"capacitors", CellSide::left}});
    for (std::size_t i = 0; i < weighed.front.size(); ++i) {
        const FrontPoint& p = weighed.front[i];
        const Worth& w = p.design.worth;
        t.row({{fmt::format("{}{}", i == weighed.chosen ? "> " : "", i + 1)},
               {number(w.moment_a_m2)},
               {number(w.weight_kg)},
               {number(w.watt_hours)},
               {std::to_string(p.design.loads)},
               {winding_words(p)},
               {number(p.plan.loop_a.wire_area_mm2, 3)},
               {number(plan::outline_of(p.plan.loop_a).area_m2(), 3)},
               {number(p.sheet.rows.front().chosen.point.bus_v, 3)},
               {battery_words(p)},
               {capacitors_words(choices, weighed, p)}});
    }
    return t;
}

base::TextTable step_table(const FrontPoint& point) {
    using base::CellSide;
    base::TextTable t({{"step", CellSide::right},
                       {"Hz", CellSide::right},
                       {"turns", CellSide::right},
                       {"C nF", CellSide::right},
                       {"A peak", CellSide::right},
                       {"moment A m2", CellSide::right},
                       {"C volts", CellSide::right},
                       {"battery W", CellSide::right},
                       {"winding C", CellSide::right},
                       {"limited by", CellSide::left}});
    for (std::size_t i = 0; i < point.sheet.rows.size(); ++i) {
        const transmitter::TransmitterRow& r = point.sheet.rows[i];
        const transmitter::TransmitterPoint& p = r.chosen;
        t.row({{fmt::format("{}{}", r.step_number, name_of(r.loop))},
               {number(r.frequency_hz, 5)},
               {std::to_string(p.turns)},
               {p.capacitor > 0 ? base::brief(p.capacitance_f * 1e9, 4) : "-"},
               {number(p.point.current.fundamental_peak_a, 3)},
               {number(p.point.moment_peak_a_m2)},
               {p.capacitor > 0 ? number(p.point.current.capacitor_peak_v, 3) : "-"},
               {number(p.point.power.battery_w, 3)},
               {p.steady_winding_c ? number(*p.steady_winding_c, 3) : "runaway"},
               {name_of(point.design.steps[i].limited_by)}});
    }
    return t;
}

}  // namespace

std::string moment_words(const Choices& choices, const Weighed& weighed) {
    return fmt::format("{} of {} {} on both loops, sent for ever",
                       choices.search.moment == MomentOf::worst ? "the worst" : "the geometric mean",
                       weighed.frequencies_hz.size(),
                       weighed.frequencies_hz.size() == 1 ? "frequency" : "frequencies");
}

std::string watt_hours_words(const Choices& choices) {
    return choices.search.watt_hours == WattHours::carried
               ? std::string("nominal, of all batteries carried")
               : fmt::format("taken from the battery by {} h of sending, each frequency as long",
                             base::brief(choices.search.sending_h, 4));
}

std::string search_words(const Choices& choices, const Weighed& weighed) {
    std::string out =
        fmt::format("{} senders, with their banks {} designs: ", weighed.senders, weighed.designs);
    if (weighed.exhaustive())
        out += "all of them looked at (exhaustive)";
    else
        out += fmt::format(
            "NOT all: {} senders have more than {} banks (search.banks_max); capacitors that are not among the best at "
            "any frequency were left out of theirs",
            weighed.senders_cut, choices.search.banks_max);
    for (std::size_t i = 0; i < stops.size(); ++i)
        if (weighed.stopped[i] > 0)
            out += fmt::format("; {} stopped by {}", weighed.stopped[i], name_of(stops[i]));
    return out;
}

std::string winding_words(const FrontPoint& point) {
    const plan::Loop& loop = point.plan.loop_a;
    return loop.taps.empty() ? std::to_string(loop.turns)
                             : fmt::format("{} ({})", loop.turns, fmt::join(loop.taps, ", "));
}

std::string battery_words(const FrontPoint& point) {
    const plan::Battery& b = point.plan.battery;
    const char* chemistry = b.chemistry == plan::Chemistry::lifepo4 ? "LiFePO4"
                            : b.chemistry == plan::Chemistry::agm   ? "AGM"
                                                                    : "flooded";
    return fmt::format("{} {} Ah {}s{}p x{}", chemistry, base::brief(b.capacity_ah, 4), b.in_series,
                       b.in_parallel, b.sets_carried);
}

std::string capacitors_words(const Choices& choices, const Weighed& weighed, const FrontPoint& point) {
    std::string out;
    for (const int i : point.design.bank) {
        const JoinedCapacitor& joined = weighed.joined[static_cast<std::size_t>(i)];
        out += fmt::format("{}{} {}s{}p", out.empty() ? "" : ", ",
                           choices.capacitors[static_cast<std::size_t>(joined.kind)].name, joined.in_series,
                           joined.in_parallel);
    }
    return out.empty() ? "none" : out;
}

std::vector<std::string> cautions_of(const Choices& choices, const FrontPoint& point) {
    std::vector<std::string> out = lifting_cautions(point.pieces, choices.limits.load_kg);
    out.insert(out.end(), point.sheet.cautions.begin(), point.sheet.cautions.end());
    return out;
}

std::string weigh_text(const plan::Plan& plan, const Choices& choices, const Weighed& weighed) {
    const FrontPoint& chosen = weighed.front[weighed.chosen];
    std::string out = fmt::format(
        "Senders for {}{}\n{}.\nMoment: {}. Wh: {}.\n\nNo sender has more moment at no more weight and Wh than these {}, each run "
        "again as a plan of its own:\n\n{}",
        plan.survey.name, plan.survey.invented ? " (invented scenario)" : "", search_words(choices, weighed),
        moment_words(choices, weighed), watt_hours_words(choices), weighed.front.size(),
        front_table(choices, weighed).text(no_wrap, 0, false));
    out +=
        fmt::format("\nSender {}:\n\n{}\n", weighed.chosen + 1, step_table(chosen).text(no_wrap, 0, false));
    for (const CarriedPiece& piece : chosen.pieces)
        out += fmt::format("{:>3} x {}, {} kg each\n", piece.count, piece.name, number(piece.kg, 3));
    out += fmt::format("{} kg in {} loads of at most {} kg\nBatteries: {} Wh carried, {} Wh used; {}\n",
                       number(weight_kg(chosen.pieces)), chosen.design.loads,
                       base::brief(choices.limits.load_kg, 3), number(chosen.design.carried_wh),
                       number(chosen.design.used_wh), chosen.transport.text());
    out += "\nCautions\n";
    for (const std::string& c : cautions_of(choices, chosen)) out += base::wrapped_item("- ", c, 110, 0);
    return out;
}

}  // namespace ampturn::weigh
