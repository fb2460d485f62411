#include "model/loop/wire.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/outside_check.hpp"

namespace wire_test {

using namespace ampturn::model::loop;

struct Gauge {
    int awg;
    double diameter_mm, ohm_per_km;
    double tolerance_rel;
};
// ASTM B258 diameters (mils to mm) and the copper wire table of NBS Circular 31 at 20 C, both from memory,
// four figures as printed.
constexpr Gauge gauges[] = {
    {0, 8.251, 0.3224, 3e-4}, {4, 5.189, 0.8152, 3e-4}, {8, 3.264, 2.061, 4e-4},   {10, 2.588, 3.277, 3e-4},
    {12, 2.053, 5.211, 3e-4}, {16, 1.291, 13.17, 6e-4}, {20, 0.8118, 33.31, 4e-4}, {30, 0.2546, 338.6, 6e-4},
};

TEST(Wire, GaugesAsPrintedInTheTables) {
    // Published tables, from memory.
    ampturn::test::OutsideCheck diameter("diameter of wire gauges", "ASTM B258, from memory"),
        resistance("resistance of wire gauges", "NBS Circular 31, from memory");
    for (const Gauge& g : gauges) {
        const Wire wire = wire_of_gauge(g.awg);
        const std::string gauge = "AWG " + std::to_string(g.awg);
        diameter.relative(2 * wire.radius_m() * 1e3, g.diameter_mm, g.tolerance_rel, gauge);
        resistance.relative(wire.resistance_dc_ohm_per_m(20) * 1e3, g.ohm_per_km, g.tolerance_rel, gauge);
    }
}

TEST(Wire, CopperOfIec60028) {
    // Published standard:
    // 1 km of 1 mm2 at 20 C is 1/58 ohm mm2/m * 1000 m = 17.241 ohm; at 70 C 19.65 % more. IEC 60028, from
    // memory.
    const Wire w = wire_of_area(1e-6);
    EXPECT_NEAR(w.resistance_dc_ohm_per_m(20) * 1000, 17.241, 5e-4);
    EXPECT_NEAR(w.resistance_dc_ohm_per_m(70) / w.resistance_dc_ohm_per_m(20), 1.1965, 1e-12);
}

TEST(Wire, SkinEffectJoinsAtTheChangeOfMethod) {
    // |ka| = 40 is where the continued fraction gives way to the asymptotic series: d/delta = 40 sqrt(2).
    const double d = 40 * std::sqrt(2.0);
    const SkinEffect below = skin_effect(d * (1 - 1e-12));
    const SkinEffect above = skin_effect(d * (1 + 1e-12));
    EXPECT_NEAR(below.resistance_ratio, above.resistance_ratio, 1e-10);
    EXPECT_NEAR(below.internal_inductance_ratio, above.internal_inductance_ratio, 1e-12);
    EXPECT_EQ(skin_effect(0).resistance_ratio, 1);
    EXPECT_NEAR(skin_effect(1e-6).internal_inductance_ratio, 1, 1e-12);
    // Thick wire: R/R0 -> a/(2 delta) + 1/4 (closed form, e.g. Ramo, Whinnery & Van Duzer).
    EXPECT_NEAR(skin_effect(2000).resistance_ratio, 2000 / 4.0 + 0.25, 2e-4);
}

TEST(Wire, LitzAndAluminium) {
    Wire solid = wire_of_area(10e-6);
    Wire litz = solid;
    litz.strands = 100;
    const double f = 20e3;
    EXPECT_LT(wire_effect(litz, 20, f).resistance_ratio, 1.001);
    EXPECT_GT(wire_effect(solid, 20, f).resistance_ratio, 1.8);
    // 100 strands of a hundredth: loss in a transverse field falls by 100 at low frequency (a^4 each, closed form).
    EXPECT_NEAR(wire_effect(litz, 20, 50).transverse_loss_w_per_m_t2 /
                    wire_effect(solid, 20, 50).transverse_loss_w_per_m_t2,
                0.01, 1e-5);
    Wire aluminium = solid;
    aluminium.resistivity_20c_ohm_m = aluminium_resistivity_20c_ohm_m;
    EXPECT_NEAR(aluminium.resistance_dc_ohm_per_m(20) / solid.resistance_dc_ohm_per_m(20), 1.639, 1e-3)
        << "61 % IACS, common practice, no source";
}

}  // namespace wire_test
