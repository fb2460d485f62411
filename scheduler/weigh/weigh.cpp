#include "scheduler/weigh/weigh.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/sweep/quantize.hpp"
#include "scheduler/weigh/driven.hpp"

namespace ampturn::weigh {

const char* name_of(Stop stop) {
    switch (stop) {
        case Stop::weight:
            return "weight (limits.weight_kg)";
        case Stop::loads:
            return "loads (limits.loads)";
        case Stop::drive:
            return "no drive (battery or heat leaves no current at a frequency)";
        case Stop::insulation:
            return "volts of the insulation (wire.rated_v_rms)";
        case Stop::moment:
            return "moment (limits.least_moment_a_m2)";
        case Stop::energy:
            return "energy (search.sending_h takes more than the batteries hold)";
    }
    throw std::logic_error("limit unknown");
}

namespace {

/// What one sender comes to with all its banks.
struct SenderResult {
    std::vector<Design> designs;  // those that none of the same sender beats
    std::size_t banks = 0;
    bool cut = false;
    std::array<std::size_t, stops.size()> stopped{};
};

/// The search of one sender.
class SenderSearch {
  public:
    SenderSearch(const plan::Plan& plan, const Choices& choices, const std::vector<JoinedCapacitor>& joined,
                 const std::optional<std::vector<Bank>>& all_banks, const Sender& sender)
        : choices_(choices),
          joined_(joined),
          sender_(sender),
          battery_(battery_of(plan, choices, sender)),
          changed_(plan_of(plan, choices, sender)),
          pieces_(pieces_of(changed_, choices, sender)),
          insulation_v_rms_(wire_of(plan, choices, sender).rated_v_rms),
          all_banks_(all_banks) {
        const double set_health = changed_.battery.health_of(0) * changed_.battery.state_of_charge_of(0);
        carried_wh_ = battery_watt_hours(battery_) * batteries_carried(battery_);
        usable_wh_ = carried_wh_ * set_health;
    }

    SenderResult run() {
        SenderResult out;
        // Too heavy without capacitors is too heavy with them: not solved.
        const bool solve = !too_heavy(0);
        if (solve) cells_ = driven_steps(changed_, joined_, insulation_v_rms_);
        std::vector<Bank> cut;
        if (!all_banks_) {
            out.cut = solve;
            cut = solve ? cut_banks() : std::vector<Bank>{{}};
        }
        std::vector<Worth> worths;
        std::vector<Design> designs;
        for (const Bank& bank : all_banks_ ? *all_banks_ : cut) {
            ++out.banks;
            Design design;
            if (const auto stop = stopped(bank, design)) {
                ++out.stopped[static_cast<std::size_t>(*stop)];
                continue;
            }
            worths.push_back(design.worth);
            designs.push_back(std::move(design));
        }
        for (const std::size_t i : front_of(worths)) out.designs.push_back(std::move(designs[i]));
        return out;
    }

  private:
    bool too_heavy(double capacitors_kg) const {
        return choices_.limits.weight_kg && weight_kg(pieces_) + capacitors_kg > *choices_.limits.weight_kg;
    }

    /// Fills the design as far as it gets.
    std::optional<Stop> stopped(const Bank& bank, Design& design) const {
        design.sender = sender_;
        design.bank = bank;
        for (const int i : bank) design.capacitors_kg += joined_[static_cast<std::size_t>(i)].kg;
        if (too_heavy(design.capacitors_kg)) return Stop::weight;
        std::vector<CarriedPiece> pieces = pieces_;
        pieces.push_back({.name = "capacitors", .kg = design.capacitors_kg});
        design.loads = loads_of(pieces, choices_.limits.load_kg);
        if (choices_.limits.loads && design.loads > *choices_.limits.loads) return Stop::loads;

        double least = 0, sum_of_logs = 0, sum_w = 0;
        for (const StepCells& cells : cells_) {
            DrivenStep best = cells.with[0];
            for (const int i : bank) {
                const DrivenStep& other = cells.with[static_cast<std::size_t>(i) + 1];
                if (other.better_than(best)) best = other;
            }
            if (!(best.moment_a_m2 > 0)) return cells.insulation_refused ? Stop::insulation : Stop::drive;
            least = design.steps.empty() ? best.moment_a_m2 : std::min(least, best.moment_a_m2);
            sum_of_logs += std::log(best.moment_a_m2);
            sum_w += best.battery_w;
            design.steps.push_back(best);
        }
        const auto count = static_cast<double>(cells_.size());
        design.carried_wh = carried_wh_;
        design.used_wh = sum_w / count * choices_.search.sending_h;
        design.worth = to_nine_digits(
            {.moment_a_m2 = choices_.search.moment == MomentOf::worst ? least : std::exp(sum_of_logs / count),
             .weight_kg = weight_kg(pieces),
             .watt_hours = choices_.search.watt_hours == WattHours::used ? design.used_wh : carried_wh_});
        if (choices_.limits.least_moment_a_m2 &&
            design.worth.moment_a_m2 < *choices_.limits.least_moment_a_m2)
            return Stop::moment;
        if (design.used_wh > usable_wh_) return Stop::energy;
        return std::nullopt;
    }

    /// Banks of the capacitors that are best somewhere, then second best, and so on, while no more than banks_max.
    std::vector<Bank> cut_banks() const {
        std::vector<std::vector<int>> ranked;  // a step each, largest moment first
        for (const StepCells& cells : cells_) {
            std::vector<int> order;
            for (int i = 0; i < static_cast<int>(joined_.size()); ++i) order.push_back(i);
            std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
                return cells.with[static_cast<std::size_t>(a) + 1].moment_a_m2 >
                       cells.with[static_cast<std::size_t>(b) + 1].moment_a_m2;
            });
            ranked.push_back(std::move(order));
        }
        std::vector<Bank> banks{{}};
        std::vector<int> allowed;
        for (std::size_t rank = 0; rank < joined_.size(); ++rank)
            for (const std::vector<int>& order : ranked) {
                const auto at = std::lower_bound(allowed.begin(), allowed.end(), order[rank]);
                if (at != allowed.end() && *at == order[rank]) continue;
                allowed.insert(at, order[rank]);
                auto more = banks_of(choices_.capacitors, joined_, allowed, choices_.search.bank_positions,
                                     static_cast<std::size_t>(choices_.search.banks_max));
                if (!more) return banks;
                banks = std::move(*more);
            }
        return banks;
    }

    const Choices& choices_;
    const std::vector<JoinedCapacitor>& joined_;
    Sender sender_;
    BatteryChoice battery_;
    plan::Plan changed_;
    std::vector<CarriedPiece> pieces_;
    std::optional<double> insulation_v_rms_;
    const std::optional<std::vector<Bank>>& all_banks_;
    double carried_wh_ = 0, usable_wh_ = 0;
    std::vector<StepCells> cells_;
};

void check_size(const plan::Plan& plan, const Choices& choices, const std::vector<JoinedCapacitor>& joined) {
    const std::size_t senders = sender_count(choices);
    if (senders > senders_max)
        throw choices.error("winding",
                            fmt::format("{} combinations of winding, wire, size, volts and battery", senders),
                            fmt::format("at most {}", senders_max));
    std::size_t points = 0;
    for (int winding = choices.windings.empty() ? -1 : 0; winding < static_cast<int>(choices.windings.size());
         ++winding)
        points += points_of(plan_of(plan, choices, {.winding = winding}), joined.size());
    points *= senders / std::max<std::size_t>(1, choices.windings.size());
    if (points > points_max)
        throw choices.error(
            "capacitor",
            fmt::format("{} operating points: {} senders, each at every frequency, tap and with "
                        "{} joined capacitors",
                        points, senders, joined.size()),
            fmt::format("at most {}", points_max));
}

/// The most frequent reason, when there is nothing left.
base::InputError none_left(const Choices& choices, const Weighed& weighed) {
    const auto most = std::max_element(weighed.stopped.begin(), weighed.stopped.end());
    std::string counts;
    for (std::size_t i = 0; i < stops.size(); ++i)
        if (weighed.stopped[i] > 0)
            counts +=
                fmt::format("{}{} by {}", counts.empty() ? "" : ", ", weighed.stopped[i], name_of(stops[i]));
    return choices.error(
        "limits", fmt::format("no sender left of {}: {}", weighed.designs, counts),
        fmt::format("limits or choices that leave some; most are stopped by {}",
                    name_of(stops[static_cast<std::size_t>(most - weighed.stopped.begin())])));
}

FrontPoint run_again(const plan::Plan& plan, const Choices& choices,
                     const std::vector<JoinedCapacitor>& joined, Design design) {
    FrontPoint out;
    out.plan = read_again(plan_of(plan, choices, design, joined));
    out.sheet = transmitter::transmitter_sheet_of(out.plan, false);
    if (out.sheet.rows.size() != design.steps.size())
        throw std::logic_error("a sender run again has other steps");
    for (std::size_t i = 0; i < design.steps.size(); ++i) {
        const double again = out.sheet.rows[i].chosen.point.moment_peak_a_m2;
        if (std::abs(again - design.steps[i].moment_a_m2) > 1e-9 * again)
            throw std::logic_error(fmt::format("step {}: {} A m2 when searched, {} when run again", i + 1,
                                               design.steps[i].moment_a_m2, again));
    }
    out.pieces = pieces_of(out.plan, choices, design.sender);
    if (design.capacitors_kg > 0) out.pieces.push_back({.name = "capacitors", .kg = design.capacitors_kg});
    out.transport = transport_class(battery_of(plan, choices, design.sender));
    out.design = std::move(design);
    return out;
}

std::size_t chosen_of(const Weighed& weighed, const Choices& choices, const WeighOptions& options) {
    if (options.chosen) {
        const auto count = static_cast<int>(weighed.front.size());
        if (*options.chosen < 1 || *options.chosen > count)
            throw base::InputError({"--choose",
                                    {},
                                    "",
                                    fmt::format("{}", *options.chosen),
                                    fmt::format("1 to {}, the senders on the front", count)});
        return static_cast<std::size_t>(*options.chosen) - 1;
    }
    const auto merit = [&](const Worth& w) {
        switch (choices.search.choose) {
            case Choose::moment_per_kg:
                return w.moment_a_m2 / w.weight_kg;
            case Choose::most_moment:
                return w.moment_a_m2;
            case Choose::least_weight:
                return -w.weight_kg;
            case Choose::least_watt_hours:
                return -w.watt_hours;
        }
        throw std::logic_error("rule unknown");
    };
    const auto best = std::max_element(weighed.front.begin(), weighed.front.end(),
                                       [&](const FrontPoint& a, const FrontPoint& b) {
                                           return merit(a.design.worth) < merit(b.design.worth);
                                       });
    return static_cast<std::size_t>(best - weighed.front.begin());
}

}  // namespace

plan::Plan plan_of(const plan::Plan& plan, const Choices& choices, const Design& design,
                   const std::vector<JoinedCapacitor>& joined) {
    plan::Plan out = plan_of(plan, choices, design.sender);
    for (const int i : design.bank) add_capacitor(joined[static_cast<std::size_t>(i)], out);
    for (std::size_t i = 0; i < design.steps.size(); ++i) {
        const DrivenStep& driven = design.steps[i];
        plan::Step& step = out.sweep.steps[i];
        const auto at = std::find(design.bank.begin(), design.bank.end(), driven.joined);
        step.turns_in_use = driven.turns;
        step.capacitor = driven.joined < 0 ? 0 : static_cast<int>(at - design.bank.begin()) + 1;
        step.current_a_peak = driven.current_a_peak;
    }
    return out;
}

Weighed weigh(const plan::Plan& plan, const Choices& choices, const WeighOptions& options) {
    Weighed out;
    out.joined =
        joined_capacitors(choices.capacitors, choices.search, plan.driver.capacitors.tolerance_fraction,
                          choices.limits.capacitor_v_peak);
    check_choices(plan, choices);
    check_size(plan, choices, out.joined);
    for (const plan::Step& step : steps_of(plan, choices))
        if (step.loop == model::loop::LoopSelection::a)
            out.frequencies_hz.push_back(
                sweep::nearest_drive(step.frequency_hz, plan.driver.clock_hz).frequency_hz);

    std::vector<int> all;
    for (int i = 0; i < static_cast<int>(out.joined.size()); ++i) all.push_back(i);
    const std::optional<std::vector<Bank>> banks =
        banks_of(choices.capacitors, out.joined, all, choices.search.bank_positions,
                 static_cast<std::size_t>(choices.search.banks_max));
    const std::vector<Sender> senders = senders_of(choices);
    std::vector<SenderResult> results(senders.size());
    base::parallel_for(senders.size(), options.threads, [&](std::size_t i) {
        results[i] = SenderSearch(plan, choices, out.joined, banks, senders[i]).run();
    });

    out.senders = senders.size();
    std::vector<Design> designs;
    std::vector<Worth> worths;
    for (SenderResult& result : results) {
        out.designs += result.banks;
        out.senders_cut += result.cut;
        for (std::size_t i = 0; i < stops.size(); ++i) out.stopped[i] += result.stopped[i];
        for (Design& design : result.designs) {
            worths.push_back(design.worth);
            designs.push_back(std::move(design));
        }
    }
    std::vector<std::size_t> front = front_of(worths);
    if (front.empty()) throw none_left(choices, out);
    std::stable_sort(front.begin(), front.end(),
                     [&](std::size_t a, std::size_t b) { return worths[a].weight_kg < worths[b].weight_kg; });
    out.front.resize(front.size());
    base::parallel_for(front.size(), options.threads, [&](std::size_t i) {
        out.front[i] = run_again(plan, choices, out.joined, std::move(designs[front[i]]));
    });
    out.chosen = chosen_of(out, choices, options);
    return out;
}

}  // namespace ampturn::weigh
