#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <complex>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/fields/fields.hpp"
#include "model/fields/point_fields.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/ground/tensor.hpp"
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

// Physics of the field engine against closed forms and limits.

namespace fields_physics_test {

using namespace ampturn::model;
using namespace ampturn::model::fields;
using namespace ampturn::model::ground;
using Complex = std::complex<double>;

LayeredEarth half_space(double resistivity_ohm_m) {
    return LayeredEarth(std::vector<Layer>{{.resistivity_ohm_m = resistivity_ohm_m}});
}
void expect_close(const Fields& a, const Fields& b, double tolerance, const std::string& what = "") {
    EXPECT_LE(e_size(a - b), tolerance * e_size(b)) << what << " E";
    EXPECT_LE(h_size(a - b), tolerance * h_size(b)) << what << " H";
}
Fields at(const LayeredEarth& earth, double f, const Dipole& d, const Receiver& r,
          Wavenumbers w = Wavenumbers::full) {
    return field(earth, f, d, r, {.wavenumbers = w}).fields;
}

/// Magnetic dipole in free space. Source: Stratton (1941), section 8.5 for the dual electric dipole.
Fields free_space(double f, const Dipole& d, const Receiver& rx) {
    const double x = rx.x_m - d.x_m, y = rx.y_m - d.y_m, z = rx.z_m + d.height_m;
    const double r = std::sqrt(x * x + y * y + z * z), omega = 2 * pi * f;
    const Complex g(0, omega * std::sqrt(mu0_h_per_m * eps0_f_per_m) * r);
    const auto [mx, my, mz] = d.moment_a_m2;
    const double m_r = (mx * x + my * y + mz * z) / r;
    const Complex wave = std::exp(-g) / (4 * pi * r * r * r);
    const Complex a = 3.0 + 3.0 * g + g * g, b = 1.0 + g + g * g;
    const Complex e = -Complex(0, omega * mu0_h_per_m) * (1.0 + g) * wave;
    return {e * (my * z - mz * y), e * (mz * x - mx * z), wave * (a * m_r * x / r - b * mx),
            wave * (a * m_r * y / r - b * my), wave * (a * m_r * z / r - b * mz)};
}

/// Ground that is nearly air: 1e6 ohm m, eps_r 1. The reflected wave is of the order
/// of the difference of k^2 times r^2.
TEST(FieldPhysics, GroundLikeAirGivesTheFieldOfFreeSpace) {
    const LayeredEarth earth = half_space(1e6);
    const Dipole d{.moment_a_m2 = {0.3, -0.5, 0.8}, .height_m = 3};
    for (const double f : {100.0, 1e4, 1e6}) {
        const Receiver r{20, 15, -2};
        const Fields a = at(earth, f, d, r), b = free_space(f, d, r);
        EXPECT_LE(h_size(a - b), 2 * pi * f * mu0_h_per_m * 1e-6 * 625 * h_size(b)) << f;
    }
}

TEST(FieldPhysics, ReceiverAboveGroundSeesTheDirectWaveGrow) {
    // Far above conductive ground the field of a raised source tends to that of free space: the image is 70
    // times as far, its E 5000 times weaker.
    const LayeredEarth earth = half_space(100);
    const Dipole d{.moment_a_m2 = {1, 0, 0}, .height_m = 400};
    const Receiver r{10, 0, -405};
    expect_close(at(earth, 1000, d, r), free_space(1000, d, r), 5e-4);
}

/// Vertical dipole on a uniform half-space, quasi-static, both on the surface. Source: Ward & Hohmann (1988),
/// eqs. 4.56 and 4.69 (from memory), Wait (1951).
TEST(FieldPhysics, VerticalDipoleOnHalfSpaceMatchesTheClosedForm) {
    struct Row {
        double induction, r_m;
    };
    for (const auto& [induction, r] :
         {Row{0.02, 40}, Row{0.3, 100}, Row{1, 100}, Row{4, 100}, Row{20, 100}}) {
        const double rho = 50, f = rho / (pi * mu0_h_per_m) * std::pow(induction / r, 2);
        ASSERT_TRUE(f >= 1 && f <= 1e6) << "outside the range of the model: " << f;
        const Complex g = std::sqrt(Complex(0, 2 * pi * f * mu0_h_per_m / rho)) * r;
        const Complex e = std::exp(-g), k2 = g * g;
        const Complex hz = -1.0 / (2 * pi * k2 * r * r * r) * (9.0 - (9.0 + 9.0 * g + 4.0 * k2 + k2 * g) * e);
        const Complex e_phi = -rho / (2 * pi * std::pow(r, 4)) * (3.0 - (3.0 + 3.0 * g + k2) * e);
        const Fields x =
            at(half_space(rho), f, {.moment_a_m2 = {0, 0, 1}}, {r, 0}, Wavenumbers::quasi_static);
        // The bracket cancels to g^2/2: the closed form itself loses digits at low induction numbers.
        EXPECT_LE(std::abs(x.hz_a_per_m - hz) / std::abs(hz), 1e-10 + 1e-14 / std::norm(g)) << induction;
        EXPECT_LE(std::abs(x.ey_v_per_m - e_phi) / std::abs(e_phi), 1e-10 + 1e-14 / std::norm(g))
            << induction;
        EXPECT_EQ(std::abs(x.ex_v_per_m), 0);
    }
}

TEST(FieldPhysics, ReciprocityOfTwoMagneticDipoles) {
    // m2 . H1(r2) = m1 . H2(r1), both in air. Source: Stratton (1941), section 8.? reciprocity theorem;
    // closed form.
    const LayeredEarth earth({{.resistivity_ohm_m = 80, .thickness_m = 12, .relative_permittivity = 12},
                              {.resistivity_ohm_m = 2000, .thickness_m = 40, .relative_permeability = 1.3},
                              {.resistivity_ohm_m = 20}});
    const std::array<double, 3> m1{0.2, 0.9, -0.4}, m2{-0.7, 0.1, 0.6};
    for (const double f : {30.0, 3e3, 3e5}) {
        const Fields there = at(earth, f, {.moment_a_m2 = m1, .height_m = 4}, {60, -25, -1.5});
        const Fields here =
            at(earth, f, {.moment_a_m2 = m2, .height_m = 1.5, .x_m = 60, .y_m = -25}, {0, 0, -4});
        const Complex a = m2[0] * there.hx_a_per_m + m2[1] * there.hy_a_per_m + m2[2] * there.hz_a_per_m;
        const Complex b = m1[0] * here.hx_a_per_m + m1[1] * here.hy_a_per_m + m1[2] * here.hz_a_per_m;
        EXPECT_LE(std::abs(a - b), 1e-8 * h_size(there)) << f;
    }
}

TEST(FieldPhysics, TwoEqualLayersAreOne) {
    const Layer a{.resistivity_ohm_m = 300, .thickness_m = 25, .relative_permittivity = 9};
    Layer upper = a, lower = a;
    upper.thickness_m = 10;
    lower.thickness_m = 15;
    const Layer base{.resistivity_ohm_m = 15, .relative_permittivity = 20};
    const Dipole d{.moment_a_m2 = {1, 0.4, 0.2}, .height_m = 2};
    for (const double f : {10.0, 1e4, 5e5})
        expect_close(at(LayeredEarth({upper, lower, base}), f, d, {80, 30}),
                     at(LayeredEarth({a, base}), f, d, {80, 30}), 1e-11);
}

TEST(FieldPhysics, ThinLayerActsByItsConductance) {
    // Same conductance, ten times thinner: the difference falls in proportion. Source: thin-sheet limit, Wait (1962).
    auto with_sheet = [](double thickness) {
        return LayeredEarth({{.resistivity_ohm_m = 100, .thickness_m = 20},
                             {.resistivity_ohm_m = thickness / 5.0, .thickness_m = thickness},
                             {.resistivity_ohm_m = 100}});
    };
    const Dipole d{.moment_a_m2 = {0, 1, 0}, .height_m = 2};
    const Receiver r{90, 50};
    const Fields a = at(with_sheet(0.4), 2000, d, r), b = at(with_sheet(0.04), 2000, d, r),
                 c = at(with_sheet(0.008), 2000, d, r);
    const double coarse = h_size(a - c), fine = h_size(b - c);
    EXPECT_LT(fine, 0.12 * coarse);
    EXPECT_LT(coarse, 0.03 * h_size(c));
}

TEST(FieldPhysics, StaticLimitIsTheStaticDipole) {
    // Closed form: induction makes E proportional to frequency.
    // Quasi-static, skin depth 500 km: H is the static dipole's, E falls with frequency.
    const LayeredEarth earth = half_space(1e6);
    const Dipole d{.moment_a_m2 = {0.6, -0.2, 0.5}, .height_m = 1};
    const Receiver r{7, -4};
    const Fields a = at(earth, 1, d, r, Wavenumbers::quasi_static),
                 b = at(earth, 2, d, r, Wavenumbers::quasi_static);
    Fields statics = free_space(1e-9, d, r);
    EXPECT_LE(h_size(a - statics), 1e-9 * h_size(statics));
    EXPECT_NEAR(e_size(b) / e_size(a), 2, 1e-6);
}

TEST(FieldPhysics, FarFieldIsAPlaneWaveOverAnyGround) {
    // Quasi-static, r / delta > 40 for all layers: Ex / Hy is the plane-wave
    // impedance. Source: Zonge & Hughes (1991).
    const LayeredEarth earth({{.resistivity_ohm_m = 10, .thickness_m = 8}, {.resistivity_ohm_m = 60}});
    const double f = 2e5;
    const Receiver r{2000, 900};
    const Fields a = at(earth, f, {.moment_a_m2 = {1, 0, 0}, .height_m = 2}, r, Wavenumbers::quasi_static);
    const Fields b = at(earth, f, {.moment_a_m2 = {0, 1, 0}, .height_m = 2}, r, Wavenumbers::quasi_static);
    const TensorEstimate z =
        estimate_tensor({a.ex_v_per_m, a.ey_v_per_m, a.hx_a_per_m, a.hy_a_per_m},
                        {b.ex_v_per_m, b.ey_v_per_m, b.hx_a_per_m, b.hy_a_per_m}, {}, {});
    const Complex plane = plane_wave_impedance_ohm(earth, f, Wavenumbers::quasi_static);
    EXPECT_LE(std::abs(z.impedance.xy_ohm - plane) / std::abs(plane), 1e-3);
    EXPECT_LE(std::abs(z.impedance.yx_ohm + plane) / std::abs(plane), 1e-3);
    EXPECT_LE(std::abs(z.impedance.xx_ohm) / std::abs(plane), 1e-3);
}

TEST(FieldPhysics, GroundAbsorbsEnergy) {
    // Time-averaged flow of energy through the surface, 1/2 Re(E x H*) downward, is into the ground wherever
    // the horizontal fields stand in the far field; the impedance lies in the right half plane everywhere.
    int far = 0;
    for (const double rho : {1.0, 100.0, 1e4})
        for (const double f : {10.0, 1e3, 1e5}) {
            const LayeredEarth earth(
                {{.resistivity_ohm_m = rho, .thickness_m = 30}, {.resistivity_ohm_m = 10 * rho}});
            EXPECT_GT(plane_wave_impedance_ohm(earth, f).real(), 0);
            const Receiver r{3000, 1000};
            const Fields x = at(earth, f, {.moment_a_m2 = {1, 0, 0}}, r);
            if (3000 < 8 * skin_depth_m(10 * rho, f)) continue;
            ++far;
            const double flow =
                (x.ex_v_per_m * std::conj(x.hy_a_per_m) - x.ey_v_per_m * std::conj(x.hx_a_per_m)).real();
            EXPECT_GT(flow, 0) << rho << ' ' << f;
        }
    EXPECT_EQ(far, 3);
}

/// tests/reference/field/hmd_near_field_bias.csv: half-space bias of two horizontal dipoles, printed to 4 figures.
TEST(FieldPhysics, NearFieldBiasMatchesTheReferenceTable) {
    // Independent: a derivation in Bessel functions, checked there by numerical integration.
    const ReferenceCsv table("field/hmd_near_field_bias.csv", 26);
    const double rho = 100, r = 200;
    const LayeredEarth earth = half_space(rho);
    ampturn::test::OutsideCheck check("near-field bias, tipper and fields of a dipole over uniform ground",
                                      "tests/reference/field/hmd_near_field_bias.csv: closed forms",
                                      "of the printed digits");
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double f = rho / (pi * mu0_h_per_m) * std::pow(table.number(i, "r_over_delta") / r, 2);
        ASSERT_TRUE(f >= 1 && f <= 1e6) << "outside the range of the model: " << f;
        const Fields radial = at(earth, f, {.moment_a_m2 = {1, 0, 0}}, {r, 0}, Wavenumbers::quasi_static);
        const Fields across = at(earth, f, {.moment_a_m2 = {0, 1, 0}}, {r, 0}, Wavenumbers::quasi_static);
        // The line to the receiver is x: E across of the radial dipole over its H, and the other way round.
        const Complex phi_r = -radial.ey_v_per_m / radial.hx_a_per_m,
                      r_phi = across.ex_v_per_m / across.hy_a_per_m;
        auto near = [&](double value, const char* column, double digits) {
            check.error(std::abs(value - table.number(i, column)) / digits, 1,
                        std::string(column) + " at r/delta " + table.text(i, "r_over_delta"));
        };
        const double ra_scale_phi = 6e-4 * table.number(i, "ra_phir") + 1e-6;
        near(apparent_resistivity_ohm_m(phi_r, f) / rho, "ra_phir", ra_scale_phi);
        near(apparent_resistivity_ohm_m(r_phi, f) / rho, "ra_rphi", 6e-4 * table.number(i, "ra_rphi") + 1e-6);
        near(impedance_phase_deg(phi_r) - 45, "dph_phir_deg", 0.006);
        near(impedance_phase_deg(r_phi) - 45, "dph_rphi_deg", 0.06);
        near(std::abs(radial.hz_a_per_m / radial.hx_a_per_m), "tipper_abs",
             6e-3 * table.number(i, "tipper_abs"));
        near(std::abs(radial.hx_a_per_m) * pi * r * r * r, "Hr_rel", 6e-4);
        near(std::abs(across.hy_a_per_m) * 2 * pi * r * r * r, "Hp_rel", 6e-4);
    }
}

/// Static field of the sides of a loop: Biot-Savart's law for straight wires (closed form, Jackson 1998, sec. 5.3).
std::array<double, 3> static_h_of_sides(const Loop& loop, const Receiver& r) {
    std::array<double, 3> h{};
    const std::size_t n = loop.vertices_xyz_m.size();
    for (std::size_t i = 0; i < n; ++i) {
        const auto& a = loop.vertices_xyz_m[i];
        const auto& b = loop.vertices_xyz_m[(i + 1) % n];
        const std::array<double, 3> p{r.x_m - a[0], r.y_m - a[1], r.z_m - a[2]};
        const std::array<double, 3> q{r.x_m - b[0], r.y_m - b[1], r.z_m - b[2]};
        const std::array<double, 3> c{p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2],
                                      p[0] * q[1] - p[1] * q[0]};
        const double lp = std::hypot(p[0], p[1], p[2]), lq = std::hypot(q[0], q[1], q[2]);
        const double dot = p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
        const double k = loop.turns * loop.current_a / (4 * pi) * (lp + lq) / (lp * lq * (lp * lq + dot));
        for (std::size_t j = 0; j < 3; ++j) h[j] += k * c[j];
    }
    return h;
}

TEST(FieldPhysics, LoopNearItsWireAgreesWithTheStaticFieldOfItsSides) {
    // Closed form: Biot and Savart over straight sides.
    // Low frequency over resistive ground, so H is the static field.
    const Loop square{.vertices_xyz_m = {{-20, -20, -1}, {20, -20, -1}, {20, 20, -1}, {-20, 20, -1}},
                      .turns = 2,
                      .current_a = 3};
    Loop circle{.vertices_xyz_m = {}, .turns = 1, .current_a = -5};
    for (int i = 0; i < 64; ++i)
        circle.vertices_xyz_m.push_back({20 * std::cos(2 * pi * i / 64), 20 * std::sin(2 * pi * i / 64), -1});
    // Neither convex nor level.
    const Loop notched{
        .vertices_xyz_m = {{-20, 0, -1}, {20, 0, -1}, {20, 8, -17}, {0, 2, -5}, {-20, 8, -17}}};
    const LayeredEarth earth = half_space(1e6);
    for (const Loop& loop : {square, circle, notched})
        for (const Receiver r : {Receiver{21.5, 3, -0.5}, Receiver{30, -8, 0}, Receiver{0, 26, -2}}) {
            const std::array<double, 3> h = static_h_of_sides(loop, r);
            const FieldResult x = field(earth, 1, loop, r);
            const double size = std::hypot(h[0], h[1], h[2]);
            EXPECT_EQ(x.source_model, SourceModel::dipole_area);
            EXPECT_NEAR(x.fields.hx_a_per_m.real(), h[0], 1e-7 * size) << method_text(x);
            EXPECT_NEAR(x.fields.hy_a_per_m.real(), h[1], 1e-7 * size);
            EXPECT_NEAR(x.fields.hz_a_per_m.real(), h[2], 1e-7 * size);
        }
}

TEST(FieldPhysics, RefusesAReceiverInsideTheLoop) {
    const LayeredEarth earth = half_space(100);
    const Loop flat{.vertices_xyz_m = {{0, 0, -2}, {30, 0, -2}, {30, 20, -2}, {10, 5, -2}, {0, 20, -2}}};
    EXPECT_THROW(field(earth, 100, flat, {25, 8, 0}), std::invalid_argument);   // below it
    EXPECT_THROW(field(earth, 100, flat, {25, 8, -2}), std::invalid_argument);  // in its plane
    EXPECT_NO_THROW(field(earth, 100, flat, {10, 9, 0}));                       // in the notch
    // Upright: only the opening itself is inside; before it and beside it are not. Not along an axis, so that
    // rounding lets it span a sliver of ground.
    const Loop upright{.vertices_xyz_m = {{-7, -7, -1}, {7, 7, -1}, {7, 7, -12}, {-7, -7, -12}}};
    EXPECT_THROW(field(earth, 100, upright, {1, 1.1, -6}), std::invalid_argument);
    EXPECT_NO_THROW(field(earth, 100, upright, {9, 9, 0}));
    EXPECT_NO_THROW(field(earth, 100, upright, {12, -12, -6}));
    try {
        field(earth, 100, flat, {25, 8, 0});
        FAIL() << "inside the loop, not refused";
    } catch (const RangeError& refused) {
        EXPECT_EQ(refused.name(), "receiver");
        EXPECT_EQ(refused.index(), 0U);
        EXPECT_EQ(refused.found(), "inside the loop");
        EXPECT_EQ(refused.allowed(), "outside the loop's outline");
    }
}

TEST(FieldPhysics, LoopWithoutCurrentSendsNothing) {
    // Definition: fields are proportional to the current, down to none and to the least that is taken.
    const LayeredEarth earth(
        std::vector<Layer>{{.resistivity_ohm_m = 100, .thickness_m = 30}, {.resistivity_ohm_m = 10}});
    for (const double current_a : {0.0, 1e-60, -1e-60})
        for (const double z_m : {-1.0, -3.0}) {  // standing, leaning
            const Loop triangle{.vertices_xyz_m = {{-1, 0, -3}, {1, 1, -3}, {-1, 4, z_m}},
                                .turns = 4,
                                .current_a = current_a};
            const Fields fields = field(earth, 4000, triangle, {300, 10}).fields;
            EXPECT_LT(e_size(fields), 1e-60) << current_a << ' ' << z_m;
            EXPECT_LT(h_size(fields), 1e-60) << current_a << ' ' << z_m;
        }
}

TEST(FieldPhysics, RefusesSourcesOfNextToNothing) {
    const LayeredEarth earth = half_space(100);
    for (const double little : {5e-324, -1e-200, 1e-61}) {
        EXPECT_THROW(field(earth, 1000, Dipole{.moment_a_m2 = {0, 0, little}, .height_m = 1}, {200, 50}),
                     RangeError);
        EXPECT_THROW(
            field(earth, 1000,
                  Loop{.vertices_xyz_m = {{-1, 0, -3}, {1, 1, -3}, {-1, 4, -1}}, .current_a = little},
                  {300, 10}),
            RangeError);
    }
    // Definition: fields are proportional to the moment.
    const double one = h_size(at(earth, 1000, {.moment_a_m2 = {0, 0, 1}, .height_m = 1}, {200, 50}));
    EXPECT_NEAR(h_size(at(earth, 1000, {.moment_a_m2 = {0, 0, 1e-60}, .height_m = 1}, {200, 50})) / one,
                1e-60, 1e-66);
}

TEST(FieldPhysics, FarLoopIsADipoleAndSaysSo) {
    const Loop loop{.vertices_xyz_m = {{-0.5, 0, -1}, {0.5, 0, -1}, {0.5, 0, -2}, {-0.5, 0, -2}}};
    const FieldResult far = field(half_space(100), 1000, loop, {9000, 4000}, {.tolerance_rel = 1e-6});
    EXPECT_EQ(far.source_model, SourceModel::dipole) << method_text(far);
    const FieldResult near = field(half_space(100), 1000, loop, {5, 4});
    EXPECT_EQ(near.source_model, SourceModel::dipole_area) << method_text(near);
    EXPECT_NE(method_text(near).find("dipoles over the loop"), std::string::npos);
}

TEST(FieldPhysics, RefusesWhatIsOutOfRange) {
    const LayeredEarth earth = half_space(100);
    const Dipole d{.moment_a_m2 = {1, 0, 0}};
    EXPECT_THROW(field(earth, 0.99, d, {100, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, 1.01e6, d, {100, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, NAN, d, {100, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, 10, d, {0.5, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, 10, d, {21000, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, 10, d, {100, 0, 1}), std::invalid_argument);
    EXPECT_THROW(field(earth, 10, Dipole{.moment_a_m2 = {1, 0, 0}, .height_m = -1}, {100, 0}),
                 std::invalid_argument);
    EXPECT_THROW(field(earth, 10, Dipole{.moment_a_m2 = {0, 0, 0}}, {100, 0}), std::invalid_argument);
    EXPECT_THROW(field(earth, 10, Loop{.vertices_xyz_m = {{0, 0, -1}, {1, 0, -1}}}, {100, 0}),
                 std::invalid_argument);
    EXPECT_THROW(half_space(0), std::invalid_argument);
    EXPECT_THROW(LayeredEarth(std::vector<Layer>{}), std::invalid_argument);
    EXPECT_THROW(LayeredEarth({{.resistivity_ohm_m = 1}, {.resistivity_ohm_m = 1}}), std::invalid_argument);
}

}  // namespace fields_physics_test
