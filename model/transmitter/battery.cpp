#include "model/transmitter/battery.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/root.hpp"

namespace ampturn::model::transmitter {

namespace {

double interpolate(std::span<const double> x, std::span<const double> y, double at) {
    if (at <= x.front()) return y.front();
    if (at >= x.back()) return y.back();
    const auto above = std::upper_bound(x.begin(), x.end(), at);
    const auto i = static_cast<std::size_t>(above - x.begin());
    return y[i - 1] + (y[i] - y[i - 1]) * ((at - x[i - 1]) / (x[i] - x[i - 1]));
}

/// The same, but below the first point along the first two.
double interpolate_or_continue_below(std::span<const double> x, std::span<const double> y, double at) {
    if (at >= x.front() || x.size() < 2) return interpolate(x, y, at);
    return y[0] + (y[1] - y[0]) * ((at - x[0]) / (x[1] - x[0]));
}

// x - 1 + e^{-x} without cancellation.
double ramp_defect(double x) {
    if (x > 0.5) return x + std::expm1(-x);
    double term = x * x / 2;
    double sum = term;
    for (int n = 3; n < 24; ++n) {
        term *= -x / n;
        sum += term;
    }
    return sum;
}

constexpr double seconds_per_hour = 3600.0;

// IEEE Std 485, Table 1 (cell size factor against electrolyte temperature), from memory.
constexpr double ieee485_temperature_c[] = {-3.9, -1.1, 1.7,  4.4,  7.2,  10.0, 12.8, 15.6, 18.3, 18.9,
                                            19.4, 20.0, 20.6, 21.1, 21.7, 22.2, 22.8, 23.4, 23.9, 24.5,
                                            25.0, 25.6, 26.1, 26.7, 27.2, 27.8, 28.3, 28.9, 29.4, 32.2,
                                            35.0, 37.8, 40.6, 43.3, 46.1, 48.9, 51.7};
constexpr double ieee485_size_factor[] = {1.52,  1.43,  1.35,  1.3,  1.25,  1.19,  1.15,  1.11,  1.08,  1.072,
                                          1.064, 1.056, 1.048, 1.04, 1.034, 1.029, 1.023, 1.017, 1.011, 1.006,
                                          1.0,   0.994, 0.987, 0.98, 0.976, 0.972, 0.968, 0.964, 0.96,  0.94,
                                          0.93,  0.91,  0.89,  0.88, 0.87,  0.86,  0.85};

}  // namespace

BatteryBlock typical_block(Chemistry chemistry, double nominal_v, double capacity_ah) {
    BatteryBlock b;
    b.chemistry = chemistry;
    b.capacity_25c_ah = capacity_ah;
    if (chemistry == Chemistry::lifepo4) {
        b.cells = static_cast<int>(std::lround(nominal_v / 3.2));
        b.available_fraction = 0.6;
        b.rate_per_h = 3.0;
        b.ocv_soc = {0.0, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0};
        b.ocv_v_per_cell = {2.6, 3.0, 3.18, 3.24, 3.285, 3.3, 3.325, 3.34, 3.42};
        b.r25_ohm_per_cell = 0.016 / capacity_ah;
        b.r_soc_coeff = 0.35;
        b.r_temp_per_k = -0.015;
        b.cutoff_v_per_cell = 2.8;
        b.disconnects_at_cutoff = true;
        b.ieee485_capacity = false;
        b.capacity_temperature_c = {-20, -10, 0, 10, 25, 45};
        b.capacity_fraction = {0.60, 0.75, 0.88, 0.96, 1.0, 1.0};
        return b;
    }
    const bool flooded = chemistry == Chemistry::lead_flooded;
    b.cells = static_cast<int>(std::lround(nominal_v / 2.0));
    b.available_fraction = flooded ? 0.3 : 0.35;
    b.rate_per_h = flooded ? 0.6 : 0.8;
    b.ocv_soc = {0.0, 0.2, 0.4, 0.6, 0.8, 1.0};
    b.ocv_v_per_cell = {1.94, 1.985, 2.025, 2.065, 2.1, 2.135};
    b.r25_ohm_per_cell = (flooded ? 0.11 : 0.088) / capacity_ah;
    b.r_soc_coeff = 0.9;
    b.r_temp_per_k = -0.01;
    b.cutoff_v_per_cell = 1.75;
    b.knee_v_per_cell = 0.25;
    return b;
}

namespace {

/// What the wells give, over their total charge, when emptied at constant current in so many hours.
double given_share(double c, double k, double hours) {
    const double kt = k * hours;
    return k * c * hours / (-std::expm1(-kt) + c * ramp_defect(kt));
}

}  // namespace

double total_charge_ah(double available_fraction, double rate_per_h, double rated_ah, double rated_hours) {
    return rated_ah / given_share(available_fraction, rate_per_h, rated_hours);
}

KineticFit kinetic_fit(const RatedCapacity& rated, double available_fraction) {
    check_range(rated.rated_hours, "rated_hours", more_than(1));
    check_range(rated.one_hour_fraction, "one_hour_fraction", 1e-3, 1 - 1e-4);
    for (double c = available_fraction;; c *= 0.9) {
        const auto excess = [&](double log_k) {
            const double k = std::exp(log_k);
            return given_share(c, k, 1) / given_share(c, k, rated.rated_hours) - rated.one_hour_fraction;
        };
        // The ratio falls from 1 and rises to 1 again: the quicker rate lies above its least value.
        double least = 0, least_excess = excess(0);
        for (int i = -160; i <= 200; ++i)
            if (const double e = excess(0.05 * i); e < least_excess) least = 0.05 * i, least_excess = e;
        if (least_excess >= 0) continue;  // gives more in an hour whatever the rate
        const double fastest = 14;
        const double k =
            std::exp(bracketed_root(excess, least, fastest, least_excess, excess(fastest), 1e-12));
        return {c, k, total_charge_ah(c, k, rated.rated_ah, rated.rated_hours)};
    }
}

double capacity_factor(const BatteryBlock& block, double temperature_c) {
    const double temperature =
        block.ieee485_capacity
            ? 1 / ieee485_factor(temperature_c).factor
            : (block.capacity_temperature_c.empty()
                   ? 1.0
                   : interpolate_or_continue_below(block.capacity_temperature_c, block.capacity_fraction,
                                                   temperature_c));
    return std::max(temperature, 0.05) * block.age_capacity_fraction;
}

double coldest_known_c(const BatteryBlock& block) {
    if (block.ieee485_capacity) return ieee485_temperature_c[0];
    return block.capacity_temperature_c.empty() ? -HUGE_VAL : block.capacity_temperature_c.front();
}

KineticWells wells(const BatteryBank& bank, double temperature_c) {
    return {bank.block.capacity_25c_ah * bank.parallel * capacity_factor(bank.block, temperature_c),
            bank.block.available_fraction, bank.block.rate_per_h};
}

BatteryCharge charge_at_soc(const KineticWells& w, double soc) {
    return {w.available_fraction * w.capacity_ah * soc, (1 - w.available_fraction) * w.capacity_ah * soc};
}
double soc_available(const KineticWells& w, const BatteryCharge& q) {
    return q.available_ah / (w.available_fraction * w.capacity_ah);
}
double soc_total(const KineticWells& w, const BatteryCharge& q) {
    return (q.available_ah + q.bound_ah) / w.capacity_ah;
}

BatteryCharge after_constant_current(const KineticWells& w, const BatteryCharge& q, double current_a,
                                     double dt_s) {
    const double k = w.rate_per_h;
    const double c = w.available_fraction;
    const double kt = k * dt_s / seconds_per_hour;
    const double rest = -std::expm1(-kt);  // 1 - e
    const double total = q.available_ah + q.bound_ah;
    const double q1 = q.available_ah * (1 - rest) + (total * k * c - current_a) * rest / k -
                      current_a * c * ramp_defect(kt) / k;
    return {q1, total - current_a * dt_s / seconds_per_hour - q1};
}

TemperatureFactor ieee485_factor(double temperature_c) {
    return {
        interpolate_or_continue_below(ieee485_temperature_c, ieee485_size_factor, temperature_c),
        temperature_c >= ieee485_temperature_c[0] && temperature_c <= std::end(ieee485_temperature_c)[-1]};
}

BatterySource battery_source(const BatteryBank& bank, double soc, double temperature_c) {
    const BatteryBlock& b = bank.block;
    const double empty = 1 - std::clamp(soc, 0.0, 1.0);
    const double cell_ohm = b.r25_ohm_per_cell * (1 + b.r_soc_coeff * empty * empty) *
                            std::exp(b.r_temp_per_k * (temperature_c - 25)) * b.age_resistance_factor;
    const double cells = static_cast<double>(b.cells) * bank.series;
    const double knee_v =
        b.knee_v_per_cell > 0 ? b.knee_v_per_cell * std::exp(-std::max(soc, 0.0) / b.knee_soc) : 0;
    return {cells * (interpolate(b.ocv_soc, b.ocv_v_per_cell, soc) - knee_v),
            cells * cell_ohm / bank.parallel, cells * b.cutoff_v_per_cell};
}

double soc_for_voltage(const BatteryBank& bank, const KineticWells& w, const BatteryCharge& q) {
    return bank.block.soc_for_voltage == SocForVoltage::available ? soc_available(w, q) : soc_total(w, q);
}

std::optional<double> constant_power_current_a(const BatterySource& source, double power_w) {
    const double e = source.ocv_v;
    const double root2 = e * e - 4 * source.resistance_ohm * power_w;
    if (root2 < 0) return std::nullopt;
    return 2 * power_w / (e + std::sqrt(root2));
}

}  // namespace ampturn::model::transmitter
