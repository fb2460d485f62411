#include "model/inversion/contour_sums.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/check_range.hpp"
#include "model/inversion/dipole_contour.hpp"
#include "tests/model/ground/layered.hpp"

namespace contour_sums_test {

using namespace ampturn::model;
using namespace ampturn::model::inversion;
using Complex = std::complex<double>;

std::array<Complex, 6> list(const SurfaceIntegrals& s) {
    return {s.e_radial, s.e_across, s.h_radial, s.h_across, s.v_e, s.v_hr};
}

constexpr integrals::Placement place{.offset_m = 90, .source_height_m = 4, .receiver_height_m = 0};

TEST(ContourSums, AreTheIntegralsOfTheReferencePath) {
    // Independent: the fields' own contour, which builds reflections from differences at the interfaces, to 1e-12.
    ground::LayeredEarth earth = ground::layered({100, 8, 900, 40}, {15, 30, 25}, 8);
    for (const auto waves : {ground::Wavenumbers::full, ground::Wavenumbers::quasi_static})
        for (const double frequency_hz : {50.0, 3000.0, 200000.0}) {
            const integrals::LayerKernels kernels(earth, frequency_hz, waves);
            integrals::FieldWorkspace workspace;
            const integrals::DipoleIntegrals expected =
                integrals::contour_integrals(kernels, place, integrals::ContourChoice::main, workspace).value;
            const auto of = list({expected.e_radial, expected.e_across, expected.h_radial, expected.h_across,
                                  expected.v_e, expected.v_hr});
            DipoleContour contour(place, true);
            const auto found = list(contour.sums(earth, frequency_hz, Slopes::none, waves).value);
            // Of the largest of its kind: electric 0, 1 and 4, magnetic 2, 3 and 5.
            const double electric = std::max(std::abs(of[0]), std::abs(of[1])),
                         magnetic = std::max(std::abs(of[2]), std::abs(of[3]));
            for (std::size_t k = 0; k < of.size(); ++k)
                EXPECT_LT(std::abs(found[k] - of[k]), 1e-6 * (k < 2 || k == 4 ? electric : magnetic))
                    << frequency_hz << ' ' << k;
        }
}

TEST(ContourSums, SlopesAreThoseOfTheValues) {
    // Independent: fourth-order central differences; step 0.01, own error about 1e-8.
    const std::vector<double> resistivity{100, 8, 900}, thickness{15, 30};
    for (const auto waves : {ground::Wavenumbers::full, ground::Wavenumbers::quasi_static}) {
        DipoleContour contour(place, true);
        const auto value = [&](std::vector<double> rho, std::vector<double> t) {
            return list(contour.sums(ground::layered(rho, t, 8), 20000, Slopes::none, waves).value);
        };
        const SurfaceSums sums = contour.sums(ground::layered(resistivity, thickness, 8), 20000,
                                              Slopes::resistivities_and_thicknesses, waves);
        ASSERT_EQ(sums.by_ln_resistivity.size(), 3u);
        ASSERT_EQ(sums.by_ln_thickness.size(), 2u);
        const SurfaceSums fewer =
            contour.sums(ground::layered(resistivity, thickness, 8), 20000, Slopes::resistivities, waves);
        for (std::size_t j = 0; j < 5; ++j) {
            const auto moved = [&](double by) {
                std::vector<double> rho = resistivity, t = thickness;
                (j < 3 ? rho[j] : t[j - 3]) *= std::exp(by);
                return value(rho, t);
            };
            constexpr double h = 0.01;
            const auto up = moved(h), down = moved(-h), far_up = moved(2 * h), far_down = moved(-2 * h);
            const auto slope = list(j < 3 ? sums.by_ln_resistivity[j] : sums.by_ln_thickness[j - 3]);
            for (std::size_t k = 0; k < 6; ++k) {
                const Complex expected = (8.0 * (up[k] - down[k]) - (far_up[k] - far_down[k])) / (12 * h);
                EXPECT_LT(std::abs(slope[k] - expected), 2e-7 * std::abs(up[k])) << j << ' ' << k;
                if (j < 3) {
                    EXPECT_EQ(list(fewer.by_ln_resistivity[j])[k], slope[k]);
                }
            }
        }
        EXPECT_TRUE(fewer.by_ln_thickness.empty());
    }
}

TEST(ContourSums, LeaveTheVerticalDipoleOutWhereItIsNotWanted) {
    const ground::LayeredEarth earth = ground::layered({100, 8}, {15}, 8);
    DipoleContour with(place, true), without(place, false);
    const auto all = list(with.sums(earth, 3000, Slopes::none).value),
               some = list(without.sums(earth, 3000, Slopes::none).value);
    for (std::size_t k = 0; k < 6; ++k) EXPECT_EQ(some[k], k < 4 ? all[k] : 0.0);
}

TEST(ContourSums, RefuseAnisotropicLayers) {
    std::vector<ground::Layer> layers(1);
    layers[0].resistivity_ohm_m = 100;
    layers[0].vertical_resistivity_ratio = 2;
    DipoleContour contour(place, false);
    EXPECT_THROW(contour.sums(ground::LayeredEarth(layers), 3000, Slopes::none), RangeError);
}

}  // namespace contour_sums_test
