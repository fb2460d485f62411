#include "scheduler/weigh/stock.hpp"

#include <algorithm>

namespace ampturn::weigh {

void add_capacitor(const JoinedCapacitor& joined, plan::Plan& plan) {
    plan.driver.capacitors.capacitance_f.push_back(joined.capacitance_f);
    plan.driver.capacitors.rated_v_peak.push_back(joined.rated_v_peak);
}

double rated_in_series_v_peak(double rated_v_peak, int in_series, double tolerance_fraction) {
    return rated_v_peak * (1 + (in_series - 1) * (1 - tolerance_fraction) / (1 + tolerance_fraction));
}

std::vector<JoinedCapacitor> joined_capacitors(const std::vector<StockCapacitor>& stock, const Search& search,
                                               double tolerance_fraction,
                                               std::optional<double> capacitor_v_peak_max) {
    std::vector<JoinedCapacitor> out;
    for (std::size_t kind = 0; kind < stock.size(); ++kind)
        for (int series = 1; series <= search.in_series_max; ++series)
            for (int parallel = 1; parallel <= search.in_parallel_max; ++parallel) {
                if (series * parallel > stock[kind].count) continue;
                const double rated_v =
                    rated_in_series_v_peak(stock[kind].rated_v_peak, series, tolerance_fraction);
                out.push_back({.kind = static_cast<int>(kind),
                               .in_series = series,
                               .in_parallel = parallel,
                               .capacitance_f = stock[kind].capacitance_f * parallel / series,
                               .rated_v_peak = std::min(rated_v, capacitor_v_peak_max.value_or(rated_v)),
                               .kg = stock[kind].kg * series * parallel});
            }
    return out;
}

namespace {

class BankList {
  public:
    BankList(const std::vector<StockCapacitor>& stock, const std::vector<JoinedCapacitor>& joined,
             const std::vector<int>& allowed, std::size_t banks_max)
        : joined_(joined), allowed_(allowed), banks_max_(banks_max) {
        for (const StockCapacitor& kind : stock) left_.push_back(kind.count);
    }

    bool add_all(std::size_t from, int positions) {
        if (banks_.size() >= banks_max_) return false;
        banks_.push_back(bank_);
        if (positions == 0) return true;
        for (std::size_t i = from; i < allowed_.size(); ++i) {
            const JoinedCapacitor& joined = joined_[static_cast<std::size_t>(allowed_[i])];
            int& left = left_[static_cast<std::size_t>(joined.kind)];
            if (joined.parts() > left) continue;
            left -= joined.parts();
            bank_.push_back(allowed_[i]);
            const bool fits = add_all(i + 1, positions - 1);
            bank_.pop_back();
            left += joined.parts();
            if (!fits) return false;
        }
        return true;
    }
    std::vector<Bank> take() { return std::move(banks_); }

  private:
    const std::vector<JoinedCapacitor>& joined_;
    const std::vector<int>& allowed_;
    std::size_t banks_max_;
    std::vector<int> left_;
    Bank bank_;
    std::vector<Bank> banks_;
};

}  // namespace

std::optional<std::vector<Bank>> banks_of(const std::vector<StockCapacitor>& stock,
                                          const std::vector<JoinedCapacitor>& joined,
                                          const std::vector<int>& allowed, int positions,
                                          std::size_t banks_max) {
    BankList list(stock, joined, allowed, banks_max);
    if (!list.add_all(0, positions)) return std::nullopt;
    return list.take();
}

}  // namespace ampturn::weigh
