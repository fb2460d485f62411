// What makes a reading usable, at the very limits: readings made by hand, one quantity wrong at a time.
#include "scheduler/reading/reading_quality.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"

namespace reading_quality_test {

using namespace ampturn::reading;
using ampturn::model::pi;
using ampturn::model::ground::PlaneWaveBias;
using ampturn::model::ground::Zone;
using ampturn::plan::Element;
using ampturn::plan::Targets;
using Complex = std::complex<double>;

constexpr double plane_ohm = 2;
const Complex plane = std::polar(plane_ohm, pi / 4);

/// Over uniform ground, each element as given times the plane wave's, without noise.
TensorReading reading_of(Complex xy_over_plane, Complex yx_over_plane) {
    TensorReading out{};
    out.frequency_hz = 1000;
    out.both_sent = true;
    out.plane_impedance_ohm = plane;
    out.uncorrelated.impedance = {.xy_ohm = plane * xy_over_plane, .yx_ohm = -plane * yx_over_plane};
    out.correlated = out.uncorrelated;
    return out;
}

Complex turned(double degrees) { return std::polar(1.0, degrees * pi / 180); }

/// |Z|^2 for an apparent resistivity so many per cent off.
Complex off_by_percent(double percent) { return std::sqrt(1 + percent / 100); }

Targets with(std::vector<Element> elements) {
    Targets targets;
    targets.elements = std::move(elements);
    return targets;
}

TEST(ReadingQuality, TheLargerBiasDecidesWhateverItsSignAndOrder) {
    // Closed form: rho goes with |Z|^2, the phase is Z's.
    for (const double first : {-30.0, 30.0})
        for (const double other : {-10.0, 10.0}) {
            EXPECT_NEAR(
                worst_bias(reading_of(off_by_percent(first), off_by_percent(other)), {}).resistivity_rel,
                first / 100, 1e-12);
            EXPECT_NEAR(
                worst_bias(reading_of(off_by_percent(other), off_by_percent(first)), {}).resistivity_rel,
                first / 100, 1e-12);
            EXPECT_NEAR(worst_bias(reading_of(turned(first), turned(other)), {}).phase_deg, first, 1e-9);
            EXPECT_NEAR(worst_bias(reading_of(turned(other), turned(first)), {}).phase_deg, first, 1e-9);
        }
}

TEST(ReadingQuality, OnlyElementsThatAreAskedForCount) {
    // Definition: targets.elements.
    const TensorReading reading = reading_of(off_by_percent(30), off_by_percent(10) * turned(5));
    EXPECT_NEAR(worst_bias(reading, with({Element::xy})).resistivity_rel, 0.3, 1e-12);
    EXPECT_NEAR(worst_bias(reading, with({Element::xy})).phase_deg, 0, 1e-9);
    EXPECT_NEAR(worst_bias(reading, with({Element::yx})).resistivity_rel, 0.1, 1e-12);
    EXPECT_NEAR(worst_bias(reading, with({Element::yx})).phase_deg, 5, 1e-9);
    EXPECT_EQ(worst_bias(reading, with({Element::xx, Element::yy})).resistivity_rel, 0)
        << "definition: a plane wave has no diagonal";
}

TEST(ReadingQuality, ErrorBarsAreTheLawOfErrorPropagation) {
    // Closed form: sd(rho)/rho = sqrt(2) s/|Z|, sd(phase) = s/(sqrt(2)|Z|); the diagonal is held against the plane wave's |Z|.
    const struct {
        Element element;
        double ampturn::model::ground::TensorVariance::*variance;
        double z_ohm;
    } rows[] = {{Element::xx, &ampturn::model::ground::TensorVariance::xx, plane_ohm},
                {Element::xy, &ampturn::model::ground::TensorVariance::xy, 3 * plane_ohm},
                {Element::yx, &ampturn::model::ground::TensorVariance::yx, 5 * plane_ohm},
                {Element::yy, &ampturn::model::ground::TensorVariance::yy, plane_ohm}};
    for (const auto& row : rows) {
        TensorReading reading = reading_of(3, 5);
        reading.uncorrelated.variance.*row.variance = 0.04;
        reading.correlated.variance.*row.variance = 0.01;
        const ErrorBar bar = worst_error(reading, with({row.element}));
        EXPECT_NEAR(bar.resistivity_percent, 100 * std::sqrt(2.0) * 0.2 / row.z_ohm, 1e-12);
        EXPECT_NEAR(bar.phase_deg, 0.2 / row.z_ohm / std::sqrt(2.0) * 180 / pi, 1e-12);
        EXPECT_NEAR(worst_error(reading, with({row.element}), NoiseView::correlated).phase_deg,
                    bar.phase_deg / 2, 1e-12);
        for (const auto& other : rows)
            if (other.element != row.element) {
                EXPECT_EQ(worst_error(reading, with({other.element})).resistivity_percent, 0);
            }
    }
}

TEST(ReadingQuality, TheStricterOfTwoErrorTargetsCounts) {
    // Closed form: sd(rho) = 2 sd(phase in radians) per unit.
    TensorReading reading = reading_of(1, 1);
    reading.uncorrelated.variance.xy = std::pow(0.02 * plane_ohm, 2);
    Targets targets = with({Element::xy});
    const double percent = 2 * std::sqrt(2.0), degrees = 0.02 / std::sqrt(2.0) * 180 / pi;
    for (const double share : {0.5, 2.0}) {
        targets.rho_error_percent = percent / share;
        targets.phase_error_deg = 1000 * degrees;
        EXPECT_NEAR(error_ratio(reading, targets), share, 1e-12);
        EXPECT_NEAR(relative_variance_allowed(targets), 4e-4 / (share * share), 1e-15);
        targets.rho_error_percent = 1000 * percent;
        targets.phase_error_deg = degrees / share;
        EXPECT_NEAR(error_ratio(reading, targets), share, 1e-12);
        EXPECT_NEAR(relative_variance_allowed(targets), 4e-4 / (share * share), 1e-15);
    }
}

TEST(ReadingQuality, WithoutATensorNothingIsGoodEnough) {
    EXPECT_TRUE(std::isinf(error_ratio(std::nullopt, {})));
    EXPECT_TRUE(std::isinf(bias_ratio(std::nullopt, {})));
    TensorReading one_loop = reading_of(1, 1);
    one_loop.both_sent = false;
    EXPECT_TRUE(std::isinf(error_ratio(one_loop, {})));
    EXPECT_NEAR(bias_ratio(one_loop, {}), 0, 1e-9) << "definition: the bias is the geometry's";
}

TEST(ReadingQuality, BiasRatioIsTheWorseOfResistivityAndPhase) {
    // Definition: bias over its tolerance, 5 % and 2 degrees unless the plan says others.
    EXPECT_NEAR(bias_ratio(reading_of(off_by_percent(-10), 1), {}), 2, 1e-9);
    EXPECT_NEAR(bias_ratio(reading_of(1, turned(-6)), {}), 3, 1e-9);
    EXPECT_NEAR(bias_ratio(reading_of(off_by_percent(20), turned(6)), {}), 4, 1e-9);
    EXPECT_NEAR(bias_ratio(reading_of(off_by_percent(20), turned(10)), {}), 5, 1e-9);
}

TEST(ReadingQuality, ZonesEndWhereThePlanSays) {
    // Definition: at the tolerance still far field, beyond it transition, beyond the near-field limits near field.
    Targets targets;
    targets.rho_bias_percent = 8;
    targets.phase_bias_deg = 3;
    targets.near_field_bias_percent = 40;
    targets.near_field_bias_deg = 12;
    const auto zone = [&](double percent, double degrees) {
        return zone_of(PlaneWaveBias{.resistivity_rel = percent / 100, .phase_deg = degrees}, targets);
    };
    for (const double sign : {-1.0, 1.0}) {
        EXPECT_EQ(zone(sign * 7.99, sign * 2.99), Zone::far_field);
        EXPECT_EQ(zone(sign * 8.01, 0), Zone::transition);
        EXPECT_EQ(zone(0, sign * 3.01), Zone::transition);
        EXPECT_EQ(zone(sign * 39.9, sign * 11.9), Zone::transition);
        EXPECT_EQ(zone(sign * 40.1, 0), Zone::near_field);
        EXPECT_EQ(zone(0, sign * 12.1), Zone::near_field);
    }
}

/// Loop A gives H along x, loop B along y; the noise is that of the sensors, the same per channel.
ReadingInput two_loops() {
    ReadingInput in{.frequency_hz = 1000,
                    .a = {.horizontal = {.ey_v_per_m = -plane, .hx_a_per_m = 1}},
                    .b = {.horizontal = {.ex_v_per_m = plane, .hy_a_per_m = 1}},
                    .plane_impedance_ohm = plane};
    in.noise.h = {.natural = 0, .mains = 0, .sensor = 1e-6};
    in.noise.e = {.natural = 0, .mains = 0, .sensor = 1e-6};
    in.sent_a.add(1, 40);
    in.sent_b.add(1, 40);
    return in;
}

TEST(DwellTerms, AreTheNoiseOfTheLoopThatEachElementNeeds) {
    // Closed form: var(Zxy) = (2 S_E / T + |Z|^2 2 S_H / T) / |H|^2, of B alone; what may be is share^2 |Z|^2.
    const ReadingInput in = two_loops();
    const Targets targets;
    const double needed_s =
        2e-6 * (1 + plane_ohm * plane_ohm) / (relative_variance_allowed(targets) * plane_ohm * plane_ohm);
    const DwellTerms terms = dwell_terms(in, targets);
    ASSERT_EQ(terms.uncorrelated.size(), 2u);
    ASSERT_EQ(terms.correlated.size(), 2u);
    EXPECT_NEAR(terms.uncorrelated[0].b_s, needed_s, 1e-9 * needed_s) << "xy";
    EXPECT_NEAR(terms.uncorrelated[0].a_s, 0, 1e-12 * needed_s) << "xy: nothing of A";
    EXPECT_NEAR(terms.uncorrelated[1].a_s, needed_s, 1e-9 * needed_s) << "yx";
    EXPECT_NEAR(terms.uncorrelated[1].b_s, 0, 1e-12 * needed_s) << "yx: nothing of B";
    // Where no natural field is heard both views are one.
    EXPECT_NEAR(terms.correlated[0].b_s, needed_s, 1e-9 * needed_s);
    // The amplitudes have to grow by the root of needed over given dwell.
    EXPECT_NEAR(needed_moment_factor(in, targets), std::sqrt(needed_s / 40), 1e-9);
    EXPECT_NEAR(needed_moment_factor(in, targets), error_ratio(read_tensor(in), targets), 1e-9)
        << "identity: without sensor errors the same";
}

TEST(DwellTerms, AreInfiniteInBothViewsWhereNoDwellGivesATensor) {
    ReadingInput one_loop = two_loops(), parallel = two_loops();
    one_loop.sent_b = {};
    parallel.b = parallel.a;
    for (const ReadingInput& in : {one_loop, parallel}) {
        const DwellTerms terms = dwell_terms(in, {});
        ASSERT_EQ(terms.uncorrelated.size(), 2u);
        ASSERT_EQ(terms.correlated.size(), 2u);
        for (const std::vector<DwellTerm>* view : {&terms.uncorrelated, &terms.correlated})
            for (const DwellTerm& term : *view) EXPECT_TRUE(std::isinf(term.a_s) && std::isinf(term.b_s));
        EXPECT_TRUE(std::isinf(needed_moment_factor(in, {})));
    }
}

}  // namespace reading_quality_test
