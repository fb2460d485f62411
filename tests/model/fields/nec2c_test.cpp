#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "tests/model/fields/nec2c_loop.hpp"
#include "tests/outside_check.hpp"

// Electric field of an upright loop over ground. Its magnetic near field over a lossy ground is approximate in that program
// and does not serve.

namespace nec2c_test {

using namespace ampturn::model::fields;
using ampturn::model::ground::LayeredEarth;
using ampturn::test::nec_loop;
using ampturn::test::NecGround;
using ampturn::test::NecLoop;

constexpr NecGround grounds[] = {{30, 15}, {100, 10}, {1000, 10}, {3000, 6}};
constexpr double azimuths_deg[] = {0, 50};
constexpr double light_m_per_s = 299'792'458;

Loop upright_square(double azimuth_deg) {
    const double half_m = 2, azimuth = azimuth_deg * ampturn::model::pi / 180;
    const double x = half_m * std::cos(azimuth), y = half_m * std::sin(azimuth);
    return {.vertices_xyz_m = {{-x, -y, -5}, {x, y, -5}, {x, y, -1}, {-x, -y, -1}}};
}

struct Compared {
    double difference_rel;  // of the larger of Ex, Ey
    double printed_rel;     // what the other's printed digits and uneven current leave open
};

std::vector<Compared> compare(const Loop& loop, const NecGround& ground, double frequency_hz,
                              const std::vector<Receiver>& receivers) {
    const NecLoop theirs = nec_loop(loop, 9, ground, frequency_hz, receivers);
    const LayeredEarth earth({{.resistivity_ohm_m = ground.resistivity_ohm_m,
                               .relative_permittivity = ground.relative_permittivity}});
    std::vector<Compared> out;
    for (std::size_t i = 0; i < receivers.size(); ++i) {
        const FieldResult ours = field(earth, frequency_hz, loop, receivers[i]);
        const auto ex = theirs.e_v_per_m[i][0] / theirs.current_a,
                   ey = theirs.e_v_per_m[i][1] / theirs.current_a;
        const double size = std::max(std::abs(ours.fields.ex_v_per_m), std::abs(ours.fields.ey_v_per_m));
        EXPECT_LT(ours.e_error_v_per_m, 1e-7 * size) << "what follows is not our own error";
        const double worst =
            std::max(std::abs(ex - ours.fields.ex_v_per_m), std::abs(ey - ours.fields.ey_v_per_m));
        // Magnitudes have five digits, phases two decimals of a degree; a current uneven by u moves the dipole by u.
        out.push_back({worst / size, 5e-5 + 0.005 * ampturn::model::pi / 180 + theirs.unevenness_rel});
    }
    return out;
}

TEST(FieldsAgainstNec2c, WithinOneWavelength) {
    if (!ampturn::test::has_nec2c()) GTEST_SKIP() << "nec2c is not installed";
    ampturn::test::OutsideCheck check("electric field of an upright loop over ground",
                                      "nec2c: method of moments over Sommerfeld ground (public domain)",
                                      "of the vector");
    for (const NecGround& ground : grounds)
        for (const double azimuth_deg : azimuths_deg)
            for (const double f : {1e6, 7e5, 5e5, 3e5, 2e5, 1e5}) {
                const double wave_m = light_m_per_s / f;
                const auto found = compare(
                    upright_square(azimuth_deg), ground, f,
                    {{0.8 * 0.9 * wave_m, 0.6 * 0.9 * wave_m}, {0.8 * 0.5 * wave_m, 0.6 * 0.5 * wave_m}});
                const std::string where = std::to_string(static_cast<int>(f / 1e3)) + " kHz, " +
                                          std::to_string(static_cast<int>(ground.resistivity_ohm_m)) +
                                          " ohm m, ";
                check.error(found[0].difference_rel, 4e-4 + found[0].printed_rel, where + "0.9 wavelengths");
                // Its interpolated tables of the Sommerfeld integrals are good to 1e-4 to 1e-3 of one side (from memory).
                check.error(found[1].difference_rel, 3e-3, where + "0.5 wavelengths");
            }
}

// At one offset the fields of the loop's sides cancel the more the lower the frequency, and with them the other
// program's digits; ours are held by closed forms and 30-digit sums there.
TEST(FieldsAgainstNec2c, PartTheMoreTheLowerTheFrequency) {
    if (!ampturn::test::has_nec2c()) GTEST_SKIP() << "nec2c is not installed";
    double last = 0;
    for (const double f : {1e6, 5e5, 3e5, 1e5}) {
        std::vector<double> differences;
        for (const NecGround& ground : grounds)
            for (const double azimuth_deg : azimuths_deg)
                differences.push_back(
                    compare(upright_square(azimuth_deg), ground, f, {{100, 60}})[0].difference_rel);
        std::sort(differences.begin(), differences.end());
        const double median = differences[differences.size() / 2];
        EXPECT_GT(median, last) << f << " Hz";
        last = median;
    }
    EXPECT_GT(last, 0.05) << "independent: seen to be of this size at a twentieth of a wavelength";
}

}  // namespace nec2c_test
