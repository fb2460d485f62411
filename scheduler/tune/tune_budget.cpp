#include "scheduler/tune/tune_budget.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::tune {

namespace {

/// Halves [low, high] down to 1e-12 of it; `high` is always good, `low` not (or the first low).
template <class Good>
double smallest_good(double low, double high, Good good) {
    while (high - low > 1e-12 * std::max(1.0, high)) {
        const double middle = low + (high - low) / 2;
        (good(middle) ? high : low) = middle;
    }
    return high;
}

class Allocator {
  public:
    Allocator(const std::vector<AllocationItem>& items, const AllocationBudget& budget, bool energy_first)
        : items_(items), budget_(budget), energy_first_(energy_first) {
        double watts = 0;
        for (const AllocationItem& item : items) watts += item.watts_a + item.watts_b;
        mean_watts_ = items.empty() ? 1 : watts / (2 * static_cast<double>(items.size()));
    }

    std::vector<DwellPair> shortest() const {
        std::vector<DwellPair> out;
        for (const AllocationItem& item : items_)
            out.push_back(rounded({item.bounds.lower_a_s, item.bounds.lower_b_s}, item));
        return out;
    }

    bool fits(const std::vector<DwellPair>& dwells) const { return in_time(dwells) && in_energy(dwells); }

    /// Dwells at this relaxation that fit the budgets, if there are any.
    std::optional<std::vector<DwellPair>> at(double relaxation) const {
        const auto wanted = priced(relaxation, energy_first_ ? 0 : 1);
        if (fits(wanted)) return wanted;
        // The more a second counts against a joule, the shorter and the costlier in energy: the least weight
        // of time that keeps the time budget is the best for energy, and the other way round.
        if (energy_first_ && !in_time(wanted)) {
            if (!in_time(priced(relaxation, 1))) return std::nullopt;
            const auto dwells = priced(
                relaxation, smallest_good(0, 1, [&](double w) { return in_time(priced(relaxation, w)); }));
            return fits(dwells) ? std::optional(dwells) : std::nullopt;
        }
        if (!energy_first_ && !in_energy(wanted)) {
            if (!in_energy(priced(relaxation, 0))) return std::nullopt;
            const auto dwells = priced(relaxation, 1 - smallest_good(0, 1, [&](double w) {
                                                       return in_energy(priced(relaxation, 1 - w));
                                                   }));
            return fits(dwells) ? std::optional(dwells) : std::nullopt;
        }
        return std::nullopt;
    }

    double largest_relaxation() const {
        double out = 1;
        for (const AllocationItem& item : items_)
            out = std::max(out,
                           relaxation_of(item.requirements, {item.bounds.lower_a_s, item.bounds.lower_b_s}));
        return out;
    }

  private:
    bool in_time(const std::vector<DwellPair>& dwells) const {
        return !budget_.time_s || time_of(dwells) <= *budget_.time_s;
    }
    bool in_energy(const std::vector<DwellPair>& dwells) const {
        return !budget_.energy_j || energy_of(items_, dwells) <= *budget_.energy_j;
    }
    static DwellPair rounded(const DwellPair& dwells, const AllocationItem& item) {
        return {rounded_up(dwells.a_s, item.quantum_a_s), rounded_up(dwells.b_s, item.quantum_b_s)};
    }
    /// Cheapest dwells when a second counts `time_weight` and its energy the rest.
    std::vector<DwellPair> priced(double relaxation, double time_weight) const {
        std::vector<DwellPair> out;
        for (const AllocationItem& item : items_) {
            const DwellPrice price{time_weight + (1 - time_weight) * item.watts_a / mean_watts_,
                                   time_weight + (1 - time_weight) * item.watts_b / mean_watts_};
            const auto best = cheapest_dwells(item.requirements, price, item.bounds, relaxation);
            // Requirements can be met within the bounds, so there is always a best.
            out.push_back(
                rounded(best.value_or(DwellPair{item.bounds.upper_a_s, item.bounds.upper_b_s}), item));
        }
        return out;
    }

    const std::vector<AllocationItem>& items_;
    const AllocationBudget& budget_;
    bool energy_first_;
    double mean_watts_;
};

}  // namespace

double rounded_up(double seconds, double quantum_s) {
    const double count = seconds / quantum_s, nearest = std::round(count);
    return quantum_s *
           (std::fabs(count - nearest) <= 1e-9 * std::max(1.0, count) ? nearest : std::ceil(count));
}

double time_of(const std::vector<DwellPair>& dwells) {
    double sum = 0;
    for (const DwellPair& d : dwells) sum += d.a_s + d.b_s;
    return sum;
}

double energy_of(const std::vector<AllocationItem>& items, const std::vector<DwellPair>& dwells) {
    double sum = 0;
    for (std::size_t i = 0; i < items.size(); ++i)
        sum += items[i].watts_a * dwells[i].a_s + items[i].watts_b * dwells[i].b_s;
    return sum;
}

std::optional<Allocation> allocate(const std::vector<AllocationItem>& items, const AllocationBudget& budget,
                                   bool energy_first) {
    const Allocator allocator(items, budget, energy_first);
    if (const auto dwells = allocator.at(1)) return Allocation{*dwells, 1};
    if (!allocator.fits(allocator.shortest())) return std::nullopt;
    const double largest = allocator.largest_relaxation();
    const double relaxation =
        smallest_good(1, largest, [&](double q) { return allocator.at(q).has_value(); });
    return Allocation{allocator.at(relaxation).value_or(allocator.shortest()), relaxation};
}

}  // namespace ampturn::tune
