#include "model/bridge/dead_time.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/constants.hpp"

namespace dead_time_test {

using namespace ampturn::model;
using namespace ampturn::model::bridge;

// Numbers in (0, 1) that repeat.
class Spread {
  public:
    double next(double low, double high) {
        state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
        return low + (high - low) * static_cast<double>(state_ >> 11) * 0x1p-53;
    }

  private:
    unsigned long long state_ = 7;
};

struct Circuit {
    BridgeLoad load;
    BridgeVoltage voltage;
};
Circuit draw(Spread& spread) {
    // Q from 0.05 to 1000, a half octave about resonance, dead times up to a quarter of the half period.
    const double inductance = 1.5e-3, f = 1000;
    const double omega0 = 2 * pi * f * std::exp2(spread.next(-0.5, 0.5));
    const double quality = std::pow(10.0, spread.next(-1.3, 3));
    Circuit d{{omega0 * inductance / quality, inductance, 1 / (omega0 * omega0 * inductance)},
              {f, 24, spread.next(0.3, 1.2), 0.5 / f * std::pow(10.0, spread.next(-4, -0.6))}};
    d.voltage.duty = std::min(d.voltage.duty, 1.0);
    return d;
}

TEST(DeadTime, OnlyDelaysEdgesThatTheCurrentKeepsClearOf) {
    // Independent: the edges moved by the dead time or not, against the diodes followed in time.
    Spread spread;
    int clear = 0;
    for (int i = 0; i < 3000; ++i) {
        const auto [load, v] = draw(spread);
        const BridgeCurrent followed = steady_state_with_dead_time(load, v, {}, true);
        const BridgeCurrent quick = bridge_steady_state(load, v, true);
        if (quick.zero_interval || followed.zero_interval) continue;
        ++clear;
        const double q = std::sqrt(load.inductance_h / load.capacitance_f) / load.resistance_ohm;
        const double rounding = 1e-12 * std::max(10.0, q);
        EXPECT_NEAR(followed.rms_a, quick.rms_a, rounding * quick.rms_a) << i;
        EXPECT_NEAR(followed.peak_a, quick.peak_a, rounding * quick.peak_a) << i;
        EXPECT_NEAR(followed.capacitor_peak_v, quick.capacitor_peak_v, rounding * quick.capacitor_peak_v);
        EXPECT_NEAR(followed.fundamental_peak_a, quick.fundamental_peak_a, rounding * quick.peak_a);
        EXPECT_NEAR(followed.harmonic_peak_a[3], quick.harmonic_peak_a[3], rounding * quick.peak_a);
        EXPECT_NEAR(followed.fundamental_phase_rad, quick.fundamental_phase_rad, 1e-15);
        EXPECT_NEAR(switching_loss_w(followed, v, 1e-7), switching_loss_w(quick, v, 1e-7),
                    rounding * 24 * 4 * quick.peak_a * 1e-7 * 1000);
    }
    EXPECT_GT(clear, 1500);
}

TEST(DeadTime, HeatIsThatOfItsHarmonics) {
    // Independent: the sum of the harmonics against the solution in time; those above 25 fall as 1/n^3 at least.
    Spread spread;
    for (int i = 0; i < 2000; ++i) {
        const auto [load, v] = draw(spread);
        const BridgeCurrent c = steady_state_with_dead_time(load, v, {}, true);
        double squares = 0;
        for (const double a : c.harmonic_peak_a) squares += a * a / 2;
        EXPECT_LE(std::sqrt(squares), c.rms_a * (1 + 1e-9)) << i;
        EXPECT_NEAR(std::sqrt(squares), c.rms_a, 2e-3 * 24 / load_impedance_ohm(load, 1000) + 2e-3 * c.rms_a)
            << i;
    }
}

TEST(DeadTime, EverythingIsContinuousInThePulseWidth) {
    // Closed form: no jump, so halving the step halves the largest difference.
    using Values = std::array<double, 5>;
    const auto values = [](const Circuit& c, double duty) {
        BridgeVoltage v = c.voltage;
        v.duty = duty;
        const BridgeCurrent i = bridge_steady_state(c.load, v, false);
        return Values{i.fundamental_peak_a, i.rms_a, i.peak_a, i.capacitor_peak_v, i.mean_power_w};
    };
    const auto largest_step = [&](const Circuit& c, int steps) {
        Values most{}, before{};
        for (int k = 0; k <= steps; ++k) {
            const Values now = values(c, static_cast<double>(k) / steps);
            for (std::size_t q = 0; q < now.size(); ++q)
                most[q] = std::max(most[q], std::abs(now[q] - before[q]));
            before = now;
        }
        return most;
    };
    for (const double f : {700.0, 940.0, 1000.0, 1060.0, 1500.0})
        for (const double ohm : {0.3, 1.2, 12.0, 40.0}) {
            const Circuit c{{ohm, 1.5e-3, 16.887e-6}, {f, 24, 1, 30e-6}};
            const Values fine = largest_step(c, 4000), coarse = largest_step(c, 2000);
            for (std::size_t q = 0; q < fine.size(); ++q)
                EXPECT_LT(fine[q], 0.65 * coarse[q]) << f << " Hz, " << ohm << " ohm, quantity " << q;
        }
}

}  // namespace dead_time_test
