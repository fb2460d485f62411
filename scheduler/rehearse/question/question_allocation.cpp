#include "scheduler/rehearse/question/question_allocation.hpp"

#include <algorithm>
#include <cmath>

#include "scheduler/base/parallel_for.hpp"

namespace ampturn::rehearse::question {
namespace {

constexpr double gap_rel = 1e-8;  // of the squared distance, at which the climb ends
constexpr int rounds_max = 3000;
constexpr std::size_t taken_max = 4;    // single quanta taken back at once
constexpr int moves_max = 2000;         // of single quanta
constexpr double move_gain_rel = 1e-7;  // a smaller gain is not worth a move

/// Whether a sum keeps its budget; what rounding adds is not held against it.
bool within(double sum, const std::optional<double>& budget) {
    return !budget || sum <= *budget * (1 + 1e-12);
}

class Climb {
  public:
    Climb(const QuestionDemand& demand, const tune::AllocationBudget& budget)
        : demand_(demand), budget_(budget) {}

    bool fits(const std::vector<double>& dwells) const {
        return within(seconds(dwells), budget_.time_s) && within(joules(dwells), budget_.energy_j);
    }
    double distance2(const std::vector<double>& dwells) const {
        return separation(demand_.sought, variances_at(demand_, dwells)).distance2;
    }

    /// From dwells that fit to the maximum; the limit into `limit`.
    std::vector<double> maximum(std::vector<double> dwells, double& limit, int& rounds) {
        double reach = 1;  // how much further than the turn itself says the next step goes
        limit = HUGE_VAL;
        for (rounds = 0; rounds < rounds_max; ++rounds) {
            const Discrimination here = separation(demand_.sought, variances_at(demand_, dwells));
            const std::vector<double> slopes = dwell_slopes(demand_, here, dwells);
            std::vector<double> q(dwells.size());
            for (std::size_t k = 0; k < q.size(); ++k) q[k] = slopes[k] * dwells[k] * dwells[k];
            std::vector<double> next = cheapest(q);
            limit = std::min(limit, here.distance2 + gap(slopes, dwells));
            if (limit - here.distance2 <= gap_rel * here.distance2) break;
            double best = distance2(next);
            std::vector<double> further = q;
            for (std::size_t k = 0; k < q.size(); ++k) further[k] *= std::pow(next[k] / dwells[k], 2 * reach);
            further = cheapest(further);
            if (const double there = distance2(further); there > best) {
                next = std::move(further);
                best = there;
                reach = std::min(64.0, 1.5 * reach);
            } else {
                reach = std::max(0.5, reach / 2);
            }
            if (!(best > here.distance2)) break;  // to the last digit
            dwells = std::move(next);
        }
        return dwells;
    }

  private:
    double seconds(const std::vector<double>& dwells) const {
        double sum = 0;
        for (const double t : dwells) sum += t;
        return sum;
    }
    double joules(const std::vector<double>& dwells) const {
        double sum = 0;
        for (std::size_t k = 0; k < dwells.size(); ++k) sum += demand_.steps[k].watts * dwells[k];
        return sum;
    }

    /// Dwells that minimise the sum of q/T + (time_price + energy_price watts) T within the bounds.
    std::vector<double> at_prices(const std::vector<double>& q, double time_price,
                                  double energy_price) const {
        std::vector<double> dwells(q.size());
        for (std::size_t k = 0; k < q.size(); ++k) {
            const DwellStep& step = demand_.steps[k];
            const double price = time_price + energy_price * step.watts;
            dwells[k] = q[k] <= 0   ? step.lower_s
                        : price > 0 ? std::clamp(std::sqrt(q[k] / price), step.lower_s, step.upper_s)
                                    : step.upper_s;
        }
        return dwells;
    }

    /// The least price from 0 at which `keeps`; all dwells are at their lower bounds at `most`.
    template <class Keeps>
    static double least_price(double most, Keeps keeps) {
        if (keeps(0.0)) return 0;
        double low = 0, high = most;
        while (high - low > 1e-13 * high && high > 1e-300) {
            const double middle = low + (high - low) / 2;
            (keeps(middle) ? high : low) = middle;
        }
        return high;
    }

    /// The same within the budgets; keeps the prices. Given a price of energy the least price of time that
    /// keeps the time is best, and the energy falls as its price rises (the dual function is concave).
    std::vector<double> cheapest(const std::vector<double>& q) {
        double most_time = 0, most_energy = 0;
        for (std::size_t k = 0; k < q.size(); ++k) {
            const DwellStep& step = demand_.steps[k];
            const double lowest = q[k] / (step.lower_s * step.lower_s);
            most_time = std::max(most_time, lowest);
            most_energy = std::max(most_energy, lowest / step.watts);
        }
        const auto time_price = [&](double energy_price) {
            if (!budget_.time_s) return 0.0;
            return least_price(most_time, [&](double price) {
                return within(seconds(at_prices(q, price, energy_price)), budget_.time_s);
            });
        };
        energy_price_ = !budget_.energy_j ? 0 : least_price(most_energy, [&](double price) {
            return within(joules(at_prices(q, time_price(price), price)), budget_.energy_j);
        });
        time_price_ = time_price(energy_price_);
        return at_prices(q, time_price_, energy_price_);
    }

    /// The most that the tangent at `dwells` can rise within bounds and budgets, at the last prices.
    double gap(const std::vector<double>& slopes, const std::vector<double>& dwells) const {
        double most = (budget_.time_s ? time_price_ * *budget_.time_s : 0) +
                      (budget_.energy_j ? energy_price_ * *budget_.energy_j : 0);
        for (std::size_t k = 0; k < dwells.size(); ++k) {
            const DwellStep& step = demand_.steps[k];
            const double net = slopes[k] - time_price_ - energy_price_ * step.watts;
            most += std::max(net * step.lower_s, net * step.upper_s) - slopes[k] * dwells[k];
        }
        return most;
    }

    const QuestionDemand& demand_;
    const tune::AllocationBudget& budget_;
    double time_price_ = 0, energy_price_ = 0;
};

double rounded_down(double seconds, const DwellStep& step) {
    return std::max(step.lower_s, step.quantum_s * std::floor(seconds / step.quantum_s * (1 + 1e-12)));
}

/// Gives what rounding left, then takes single quanta back and gives what that frees, while that helps.
class Quanta {
  public:
    Quanta(const QuestionDemand& demand, const Climb& climb, unsigned threads)
        : demand_(demand), climb_(climb), threads_(threads) {}

    struct Dwells {
        std::vector<double> seconds;
        double distance2;
    };
    Dwells improved(const std::vector<double>& seconds) const {
        Dwells best = filled({seconds, climb_.distance2(seconds)}, seconds.size());
        for (int moves = 0; moves < moves_max; ++moves) {
            std::vector<Dwells> trials(seconds.size() * taken_max, Dwells{{}, 0});
            base::parallel_for(trials.size(), threads_, [&](std::size_t i) {
                const std::size_t k = i / taken_max;
                if (auto fewer = changed(k, -static_cast<double>(i % taken_max + 1), best.seconds)) {
                    const double without = climb_.distance2(*fewer);
                    trials[i] = filled({std::move(*fewer), without}, k);
                }
            });
            Dwells found = best;
            for (Dwells& trial : trials)
                if (trial.distance2 > found.distance2 * (1 + move_gain_rel)) found = std::move(trial);
            if (!(found.distance2 > best.distance2)) break;
            best = std::move(found);
        }
        return best;
    }

  private:
    /// One quantum after the other, each where it helps most, but for one step.
    Dwells filled(Dwells from, std::size_t without) const {
        for (int moves = 0; moves < moves_max; ++moves) {
            Dwells best = from;
            for (std::size_t k = 0; k < from.seconds.size(); ++k) {
                if (k == without) continue;
                auto more = changed(k, 1, from.seconds);
                if (!more || !climb_.fits(*more)) continue;
                const double there = climb_.distance2(*more);
                if (there > best.distance2 * (1 + move_gain_rel)) best = {std::move(*more), there};
            }
            if (!(best.distance2 > from.distance2)) break;
            from = std::move(best);
        }
        return from;
    }
    std::optional<std::vector<double>> changed(std::size_t k, double quanta,
                                               std::vector<double> dwells) const {
        const DwellStep& step = demand_.steps[k];
        dwells[k] = step.quantum_s * std::round(dwells[k] / step.quantum_s + quanta);
        if (dwells[k] < step.lower_s * (1 - 1e-12) || dwells[k] > step.upper_s * (1 + 1e-12)) return {};
        return dwells;
    }

    const QuestionDemand& demand_;
    const Climb& climb_;
    unsigned threads_;
};

}  // namespace

Eigen::VectorXd variances_at(const QuestionDemand& demand, const std::vector<double>& dwells_s) {
    Eigen::VectorXd variance(static_cast<Eigen::Index>(demand.data.size()));
    for (std::size_t i = 0; i < demand.data.size(); ++i) {
        const DatumTerms& d = demand.data[i];
        variance[static_cast<Eigen::Index>(i)] =
            d.steady + d.a_s / dwells_s[d.step_a] + d.b_s / dwells_s[d.step_b];
    }
    return variance;
}

std::vector<double> dwell_slopes(const QuestionDemand& demand, const Discrimination& at,
                                 const std::vector<double>& dwells_s) {
    std::vector<double> slopes(demand.steps.size());
    for (std::size_t i = 0; i < demand.data.size(); ++i) {
        const DatumTerms& d = demand.data[i];
        const double slope = at.slope[static_cast<Eigen::Index>(i)];
        slopes[d.step_a] += slope * d.a_s / (dwells_s[d.step_a] * dwells_s[d.step_a]);
        slopes[d.step_b] += slope * d.b_s / (dwells_s[d.step_b] * dwells_s[d.step_b]);
    }
    return slopes;
}

std::optional<QuestionAllocation> allocate_for_question(const QuestionDemand& demand,
                                                        const tune::AllocationBudget& budget,
                                                        const std::vector<double>& start_s,
                                                        unsigned threads) {
    Climb climb(demand, budget);
    std::vector<double> lowest;
    for (const DwellStep& step : demand.steps) lowest.push_back(step.lower_s);
    if (!climb.fits(lowest)) return std::nullopt;
    bool startable = start_s.size() == demand.steps.size() && climb.fits(start_s);
    for (std::size_t k = 0; startable && k < start_s.size(); ++k)
        startable = start_s[k] >= demand.steps[k].lower_s && start_s[k] <= demand.steps[k].upper_s;
    QuestionAllocation out{};
    const std::vector<double> best =
        climb.maximum(startable ? start_s : lowest, out.distance2_limit, out.rounds);
    std::vector<double> whole;
    for (std::size_t k = 0; k < best.size(); ++k) whole.push_back(rounded_down(best[k], demand.steps[k]));
    auto [dwells_s, distance2] = Quanta(demand, climb, threads).improved(whole);
    out.dwells_s = std::move(dwells_s);
    out.distance2 = distance2;
    return out;
}

}  // namespace ampturn::rehearse::question
