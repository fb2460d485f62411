#include "model/receiver/noise.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

namespace noise_test {

using namespace ampturn::model;
using namespace ampturn::model::receiver;

TEST(NaturalField, PassesThroughTheReferenceTable) {
    // Definition: the model is this table, and interpolates between its rows.
    const ReferenceCsv table("field/natural_b_models.csv", 32);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double f = table.number(i, "f_hz");
        EXPECT_NEAR(natural_field(NaturalLevel::quiet_day, f).b_t_per_rthz,
                    1e-12 * table.number(i, "quiet_day_pT_rtHz"), 1e-20);
        EXPECT_NEAR(natural_field(NaturalLevel::typical, f).b_t_per_rthz,
                    1e-12 * table.number(i, "typical_pT_rtHz"), 1e-20);
        EXPECT_NEAR(natural_field(NaturalLevel::summer_night, f).b_t_per_rthz,
                    1e-12 * table.number(i, "summer_night_pT_rtHz"), 1e-20);
    }
}

TEST(NaturalField, AgreesWithPublishedAnchors) {
    // Published: tests/reference/field/published_noise_anchors.csv A1: 1 pT at 1 Hz, 0.1 pT at 100 Hz; the
    // curve is meant to pass through them, so a few per cent is enough.
    EXPECT_NEAR(natural_field(NaturalLevel::typical, 1).b_t_per_rthz, 1e-12, 0.05e-12);
    EXPECT_NEAR(natural_field(NaturalLevel::typical, 100).b_t_per_rthz, 0.1e-12, 0.005e-12);
    // A1: -20 dB a decade above 10 kHz, here continued beyond the table.
    const double ratio = natural_field(NaturalLevel::typical, 1e6).b_t_per_rthz /
                         natural_field(NaturalLevel::typical, 1e5).b_t_per_rthz;
    EXPECT_NEAR(20 * std::log10(ratio), -20, 2);
}

TEST(NaturalField, RefusesFrequenciesOutsideItsRange) {
    for (const double f : {0.0, 0.99, 1.01e6, -1.0, std::nan("")})
        EXPECT_THROW(natural_field(NaturalLevel::typical, f), std::invalid_argument) << f;
}

TEST(CoilNoise, MatchesTheReferenceTable) {
    // Independent: the table's own evaluation of its formula.
    const ReferenceCsv table("field/sensor_b_noise.csv", 32);
    struct Class {
        CoilNoise coil;
        const char* column;
    };
    for (const Class& c : {Class{long_coil, "class_A_pT_rtHz"}, Class{medium_coil, "class_B_pT_rtHz"},
                           Class{miniature_coil, "class_C_pT_rtHz"}})
        for (std::size_t i = 0; i < table.size(); ++i) {
            const double expected = 1e-12 * table.number(i, c.column);
            // The table is printed to three figures.
            EXPECT_NEAR(coil_noise_t_per_rthz(c.coil, table.number(i, "f_hz")), expected, 6e-3 * expected)
                << c.column << " row " << i;
        }
}

TEST(ElectrodeNoise, MatchesTheReferenceTable) {
    // Independent: the table's own evaluation of its formula.
    const ReferenceCsv table("field/sensor_e_noise.csv", 24);
    const char* source = "tests/reference/field/sensor_e_noise.csv: arithmetic from Nyquist's noise";
    ampturn::test::OutsideCheck noise("noise of an electric dipole", source),
        corner("power of the dipole wire's low-pass at its corner", source);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double expected = 1e-9 * table.number(i, "E_noise_nV_m_rtHz");
        const ElectrodeNoise electrodes{.contact_resistance_ohm = table.number(i, "R_total_ohm"),
                                        .spacing_m = table.number(i, "L_m")};
        const std::string where = table.text(i, "R_total_ohm") + " ohm, " + table.text(i, "L_m") + " m";
        noise.relative(electrode_noise_v_per_m_rthz(electrodes, 1000), expected, 6e-3, where);
        // Printed to three figures; half of 20 pF/m, as its head says.
        const double corner_hz = 1e3 * table.number(i, "corner_kHz");
        const auto wire =
            wire_response(electrodes.contact_resistance_ohm, 20e-12 * electrodes.spacing_m / 2, corner_hz);
        corner.relative(std::norm(wire), 0.5, 6e-3, where);
        EXPECT_NEAR(std::arg(wire), -pi / 4, 6e-3) << where;
    }
}

TEST(ElectrodeNoise, BehindTheWiresLowPass) {
    // Closed form: at the corner half the thermal power is left, and dividing it out doubles the amplifier's.
    ElectrodeNoise electrodes{.contact_resistance_ohm = 1e4, .wire_capacitance_f = 1e-9, .spacing_m = 1};
    const double corner_hz = 1 / (2 * pi * 1e4 * 1e-9);
    const double thermal = 4 * 1.380649e-23 * 290 * 1e4 + std::pow(10e-15 * 1e4, 2), amplifier = 25e-18;
    const auto power = [&] { return std::pow(electrode_noise_v_per_m_rthz(electrodes, corner_hz), 2); };
    EXPECT_NEAR(power() / (thermal / 2 + amplifier), 1, 1e-6);
    electrodes.low_pass_divided_out = true;
    EXPECT_NEAR(power() / (thermal + 2 * amplifier), 1, 1e-6);
    // The plane wave's E falls with the wire, unless it is divided out.
    StationNoise noise;
    const double whole = noise_at(noise, corner_hz, 1).e.natural;
    noise.electrodes = electrodes;
    EXPECT_NEAR(noise_at(noise, corner_hz, 1).e.natural / whole, 1, 1e-12);
    noise.electrodes.low_pass_divided_out = false;
    EXPECT_NEAR(noise_at(noise, corner_hz, 1).e.natural / whole, 0.5, 1e-12);
}

TEST(Rounding, IsBennettsDensity) {
    // Closed form: (2 V/2^10)^2/12 over 500 Hz.
    EXPECT_NEAR(rounding_psd(1, 10, 1000) * 500, std::pow(2.0 / 1024, 2) / 12, 1e-18);
}

TEST(Mains, HarmonicsMatchTheReferenceTable) {
    // Independent: the table's own evaluation of its rule.
    const ReferenceCsv table("field/powerline_harmonics.csv", 60);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const int n = static_cast<int>(table.number(i, "n"));
        const double expected = table.number(i, "rel_level_default");
        EXPECT_NEAR(mains_relative_level(n), expected, 0.05 * expected)
            << "printed to two figures, n = " << n;
        EXPECT_NEAR(mains_wander_hz(n, false), table.number(i, "guard_hz"), 1e-9);
        EXPECT_NEAR(mains_wander_hz(n, true), table.number(i, "guard_weak_hz"), 1e-9);
    }
}

TEST(Mains, PowerInTheBandIsThePowerOfTheHarmonic) {
    // Closed form: power spread evenly over each band.
    const Mains mains{.frequency_hz = 50, .fundamental_b_t = 1e-9};
    double power = 0;
    for (int i = 0; i < 10'000; ++i) power += mains_b_psd_t2_per_hz(mains, 52'49e-2 + i * 1e-2 + 2000) * 1e-2;
    // 2052.49 to 2152.49 Hz: harmonic 42 whole (band +-4.2 Hz), 41's upper part 1.61 of 8.2 Hz, 43's lower
    // part 6.79 of 8.6 Hz.
    auto level2 = [](int n) { return std::pow(1e-9 * mains_relative_level(n), 2); };
    const double expected = level2(42) + level2(41) * 1.61 / 8.2 + level2(43) * 6.79 / 8.6;
    EXPECT_NEAR(power, expected, 0.01 * expected);
    EXPECT_EQ(mains_b_psd_t2_per_hz({.frequency_hz = 0}, 50), 0);
    // Orders beyond the 200th are heard: at 30 kHz the 600th and what of its neighbours reaches over.
    double near = 0;
    for (const int n : {599, 600, 601}) near += 1e-18 * std::pow(mains_relative_level(n), 2) / (2 * 0.1 * n);
    EXPECT_NEAR(mains_b_psd_t2_per_hz(mains, 30'000) / near, 1, 1e-12);
}

TEST(NoiseAt, NaturalElectricFieldMatchesTheReferenceTable) {
    // Independent: the table's own arithmetic for the plane wave.
    const ReferenceCsv table("field/natural_e_models.csv", 32);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double f = table.number(i, "f_hz");
        const double z = std::sqrt(2 * pi * f * mu0_h_per_m * 1000);  // |Z| of 1000 ohm m
        const double expected = 1e-9 * table.number(i, "ty_rho1000_nV_m_rtHz");
        EXPECT_NEAR(std::sqrt(noise_at({}, f, z).e.natural), expected, 6e-3 * expected);
    }
}

TEST(Spectrum, InterpolatesAndReportsGaps) {
    const Spectrum s({10, 1000}, {1e-12, 1e-14}, Spectrum::Interpolation::log_log);
    EXPECT_NEAR(s.at(100), 1e-13, 1e-19) << "closed form: slope -1 in log-log";
    EXPECT_EQ(s.at(10), 1e-12);
    EXPECT_EQ(s.at(1000), 1e-14);
    EXPECT_THROW((void)s.at(9.99), std::out_of_range);
    EXPECT_THROW((void)s.at(1001), std::out_of_range);
    EXPECT_NEAR(Spectrum({1, 3}, {2, 4}, Spectrum::Interpolation::linear).at(2), 3, 1e-12);
    EXPECT_THROW(Spectrum({2, 1}, {1, 1}, Spectrum::Interpolation::linear), std::invalid_argument);
    EXPECT_THROW(Spectrum({1, 2}, {1, 0}, Spectrum::Interpolation::linear), std::invalid_argument);
}

}  // namespace noise_test
