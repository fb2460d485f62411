#include <fmt/format.h>

#include "scheduler/base/number_text.hpp"
#include "scheduler/base/text_table.hpp"
#include "scheduler/plan/file/config_keys.hpp"
#include "scheduler/weigh/weigh_output.hpp"

namespace ampturn::weigh {

namespace {

std::string in_columns(const SenderTable& table) {
    std::vector<base::TextColumn> columns;
    for (const SenderTable::Column& c : table.columns)
        columns.push_back({c.header, c.number ? base::CellSide::right : base::CellSide::left});
    base::TextTable out(std::move(columns));
    for (const std::vector<std::string>& row : table.rows) {
        std::vector<base::TextCell> cells;
        for (const std::string& cell : row) cells.push_back({cell});
        out.row(std::move(cells));
    }
    constexpr std::size_t no_wrap = 1000;
    return out.text(no_wrap, 0, false);
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
    const auto chemistry = plan::file::name_of(plan::file::chemistry_words(), b.chemistry);
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
        in_columns(front_table(choices, weighed)));
    out += fmt::format("\nSender {}:\n\n{}\n", weighed.chosen + 1, in_columns(step_table(chosen)));
    for (const CarriedPiece& piece : chosen.pieces)
        out +=
            fmt::format("{:>3} x {}, {} kg each\n", piece.count, piece.name, base::significant(piece.kg, 3));
    out += fmt::format("{} kg in {} loads of at most {} kg\nBatteries: {} Wh carried, {} Wh used; {}\n",
                       base::significant(weight_kg(chosen.pieces), 4), chosen.design.loads,
                       base::brief(choices.limits.load_kg, 3), base::significant(chosen.design.carried_wh, 4),
                       base::significant(chosen.design.used_wh, 4), chosen.transport.text());
    out += "\nCautions\n";
    for (const std::string& c : cautions_of(choices, chosen)) out += base::wrapped_item("- ", c, 110, 0);
    return out;
}

}  // namespace ampturn::weigh
