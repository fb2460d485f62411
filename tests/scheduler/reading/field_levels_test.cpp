#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

namespace ampturn::reading {
namespace field_levels_test {

/// Source: hmd_field_levels.csv, far-zone fields of a horizontal dipole on a half-space and the dwell that
/// brings the weaker component to 1 % (own arithmetic there from half-space theory). Numbers have three digits.
TEST(FieldLevels, AndStackingTimesAreThoseOfTheReferenceTable) {
    // Independent: the table's arithmetic against layered fields.
    const ReferenceCsv csv("field/hmd_field_levels.csv", 45);
    test::OutsideCheck check("far fields of a dipole over uniform ground",
                             "tests/reference/field/hmd_field_levels.csv: half-space theory");
    constexpr double f = 1000;  // displacement currents in the air do not show yet
    for (std::size_t i = 0; i < csv.size(); ++i) {
        const double moment_rms = csv.number(i, "m_Am2"), r = csv.number(i, "r_m");
        // Well in the far field: 150 skin depths; what is left of the near field falls as their inverse.
        const double delta_m = r / 150, rho = delta_m * delta_m * model::pi * f * model::mu0_h_per_m;
        const model::ground::LayeredEarth ground(
            std::vector<model::ground::Layer>{{.resistivity_ohm_m = rho}});
        const OffsetFields fields(ground, f, 0, 0, OffsetGrid(0.9 * r, 1.1 * r), 1e-7);
        const auto b_pt = [&](double bearing_deg) {
            const FieldPerMoment u = fields.at(0, 0, 0, r, bearing_deg);
            return 1e12 * model::mu0_h_per_m * moment_rms *
                   std::hypot(std::abs(u.horizontal.hx_a_per_m), std::abs(u.horizontal.hy_a_per_m));
        };
        const std::string row = "row " + std::to_string(i + 1);
        check.relative(b_pt(0), csv.number(i, "B_radial_pT"), 0.015, row + " radial");
        check.relative(b_pt(90), csv.number(i, "B_azimuthal_pT"), 0.015, row + " azimuthal");
        for (const double rho_n : {100.0, 1000.0})
            EXPECT_NEAR(model::skin_depth_m(
                            rho_n, 1e3 * csv.number(i, rho_n == 100 ? "f5_rho100_khz" : "f5_rho1000_khz")),
                        r / 5, 0.005 * r / 5)
                << "row " << i;

        // Noise of E left out; a rectangular window; 1 % in amplitude is a power ratio of 10 000.
        ReadingInput in{.frequency_hz = f,
                        .a = fields.at(0, 0, 0, r, 90),
                        .b = fields.at(1, 90, 0, r, 90),
                        .plane_impedance_ohm = fields.plane_impedance_ohm(),
                        .recorded_s = 1,
                        .offset_m = r};
        in.sent_b.add(std::sqrt(2.0) * moment_rms, 1);
        for (const auto& [column, n_pt] :
             {std::pair{"T1pct_n0p012_s", 0.012}, {"T1pct_n0p04_s", 0.04}, {"T1pct_n0p1_s", 0.1}}) {
            const double h = 1e-12 * n_pt / model::mu0_h_per_m;
            in.noise = {.h = {h * h, 0, 0}, .e = {1e-30, 0, 0}};
            in.sent_a = {};
            in.sent_a.add(std::sqrt(2.0) * moment_rms, csv.number(i, column));
            EXPECT_NEAR(assess_reading(in, plan::Targets{}).snr_a.hx, 1e4, 0.04e4)
                << "row " << i << ' ' << column;
        }
    }
}

/// Source: Harris (1978), Proc. IEEE 66, table I, two decimals (from memory).
TEST(NoiseBandwidth, OfTheReceiversWindowsIsThatOfHarris) {
    // Published, as above.
    EXPECT_NEAR(setup::noise_bandwidth_bins(plan::Window::rectangular), 1.00, 0.005);
    EXPECT_NEAR(setup::noise_bandwidth_bins(plan::Window::hann), 1.50, 0.005);
    EXPECT_NEAR(setup::noise_bandwidth_bins(plan::Window::hamming), 1.36, 0.005);
    EXPECT_NEAR(setup::noise_bandwidth_bins(plan::Window::blackman), 1.73, 0.005);
    EXPECT_NEAR(setup::noise_bandwidth_bins(plan::Window::blackman_harris), 2.00, 0.005);
}

}  // namespace field_levels_test
}  // namespace ampturn::reading
