#include "scheduler/reading/assess_reading.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "model/base/constants.hpp"
#include "scheduler/reading/reading_quality.hpp"

namespace {

using namespace ampturn::plan;
using namespace ampturn::reading;
using Complex = std::complex<double>;

const Complex impedance = std::polar(
    std::sqrt(2 * ampturn::model::pi * 1000 * ampturn::model::mu0_h_per_m * 100), ampturn::model::pi / 4);

/// Far field over 100 ohm m at 1 kHz: H of loop A along x, of loop B along y, 1e-9 A/m per A m2.
ReadingInput far_field() {
    const double h = 1e-9;
    ReadingInput in{.frequency_hz = 1000,
                    .a = {.horizontal = {.ey_v_per_m = -impedance * h, .hx_a_per_m = h}},
                    .b = {.horizontal = {.ex_v_per_m = impedance * h, .hy_a_per_m = h}},
                    .plane_impedance_ohm = impedance,
                    .recorded_s = 600,
                    .offset_m = 1500};
    in.noise.h = {.natural = 0, .mains = 0, .sensor = 1e-16};
    in.noise.e = {.natural = 0, .mains = 0, .sensor = 1e-16 * std::norm(impedance)};
    in.sent_a.add(1000, 10);
    in.sent_b.add(1000, 10);
    return in;
}

TEST(AssessReading, SignalToNoiseIsTheLockInFormula) {
    const Reading out = assess_reading(far_field(), {});
    // Closed form: |s|^2 / (2 S / T) = 1e-12 / (2 1e-16 / 10).
    EXPECT_NEAR(out.snr_a.hx, 1e-12 / (2e-16 / 10), 1e-6 * out.snr_a.hx);
    EXPECT_NEAR(out.snr_a.ey, out.snr_a.hx, 1e-6 * out.snr_a.hx);
    EXPECT_EQ(out.snr_a.ex, 0);
    // sd(rho)/rho = sqrt(2 (1/SNR_E + 1/SNR_H)).
    EXPECT_NEAR(out.resistivity_sd_xy_percent, 100 * std::sqrt(4 / out.snr_a.hx), 1e-6);
    EXPECT_EQ(out.verdict, Verdict::usable) << out.reason;
    EXPECT_NEAR(out.plane_resistivity_ohm_m, 100, 1e-9);
}

TEST(AssessReading, ErrorFallsWithTheSquareRootOfTime) {
    ReadingInput in = far_field();
    const double once = assess_reading(in, {}).resistivity_sd_xy_percent;
    for (int sweep = 0; sweep < 3; ++sweep) {
        in.sent_a.add(1000, 10);
        in.sent_b.add(1000, 10);
    }
    EXPECT_NEAR(assess_reading(in, {}).resistivity_sd_xy_percent, once / 2, 1e-9)
        << "closed form: stacking law";
    in.window_enbw_bins = 1.5;
    EXPECT_NEAR(assess_reading(in, {}).resistivity_sd_xy_percent, once / 2 * std::sqrt(1.5), 1e-9)
        << "Hann, Harris (1978)";
}

TEST(AssessReading, CorrelatedNaturalFieldCancelsInTheFarField) {
    // Closed form: where the source's impedance is the plane wave's, dE - Z dH of a plane wave is nothing, so
    // only the sensors are left; uncorrelated, E and H bring their natural parts each.
    ReadingInput in = far_field();
    const double sensors = assess_reading(in, {}).resistivity_sd_xy_percent;
    EXPECT_NEAR(assess_reading(in, {}).correlated_resistivity_sd_xy_percent, sensors, 1e-12 * sensors)
        << "no natural field";
    in.noise.h.natural = 3e-16;
    in.noise.e.natural = 3e-16 * std::norm(impedance);
    const Reading out = assess_reading(in, {});
    EXPECT_NEAR(out.correlated_resistivity_sd_xy_percent, sensors, 1e-9 * sensors);
    EXPECT_NEAR(out.correlated_resistivity_sd_yx_percent, sensors, 1e-9 * sensors);
    EXPECT_NEAR(out.resistivity_sd_xy_percent, 2 * sensors, 1e-9 * sensors) << "(1 + 3) times the power";
    EXPECT_NEAR(out.correlated_phase_sd_xy_deg / out.phase_sd_xy_deg, 0.5, 1e-9);
    // Mains are a plane wave too, but of near lines: they stay uncorrelated, unless they are known to be one.
    in.noise.h.mains = in.noise.h.natural;
    in.noise.e.mains = in.noise.e.natural;
    EXPECT_GT(assess_reading(in, {}).correlated_resistivity_sd_xy_percent, 1.2 * sensors);
    in.plane_waves = PlaneWaves::natural_field_and_mains;
    EXPECT_NEAR(assess_reading(in, {}).correlated_resistivity_sd_xy_percent, sensors, 1e-9 * sensors);
    EXPECT_NEAR(assess_reading(in, {}).resistivity_sd_xy_percent, std::sqrt(7.0) * sensors, 1e-9 * sensors)
        << "(1 + 3 + 3) times the power";
}

TEST(AssessReading, NamesTheReason) {
    // Closed form: E 4 % high is 1.04^2 - 1 = 8.16 % in resistivity.
    ReadingInput in = far_field();
    in.noise.h.sensor *= 1e5;
    EXPECT_EQ(assess_reading(in, {}).verdict, Verdict::noisy);
    in = far_field();
    in.b.horizontal.ex_v_per_m *= 1.04;  // apparent resistivity 8.2 % high
    Reading out = assess_reading(in, {});
    EXPECT_EQ(out.verdict, Verdict::transition);
    EXPECT_NEAR(out.bias_xy_percent, 8.16, 1e-6);
    EXPECT_NEAR(out.bias_yx_percent, 0, 1e-9);
    Targets only_yx;
    only_yx.elements = {Element::yx};
    EXPECT_EQ(assess_reading(in, only_yx).verdict, Verdict::usable);
    in.b.horizontal.ex_v_per_m *= 1.3;
    EXPECT_EQ(assess_reading(in, {}).verdict, Verdict::near_field);
    in = far_field();
    in.sent_b = {};
    out = assess_reading(in, {});
    EXPECT_EQ(out.verdict, Verdict::not_sent);
    EXPECT_EQ(out.reason, "loop B was not sent");
    EXPECT_NEAR(out.bias_xy_percent, 0, 1e-9) << "the bias is told also where nothing was sent";
    EXPECT_TRUE(std::isnan(out.resistivity_sd_xy_percent) && std::isnan(out.correlated_phase_sd_yx_deg));
    EXPECT_TRUE(std::isnan(out.snr_b.ex) && !std::isnan(out.snr_a.ex));
}

TEST(AssessReading, MomentsAddBySquareAndTime) {
    // Closed form: root of the mean square over time.
    Transmission sent;
    sent.add(300, 10);
    sent.add(400, 10);
    EXPECT_NEAR(sent.moment_a_m2_peak, std::sqrt((9e4 + 16e4) / 2), 1e-9);
    EXPECT_EQ(sent.dwell_s, 20);
}

TEST(AssessReading, SensorsSetAFloorThatNoDwellTakesAway) {
    // Closed form: gains of 1 % in E and in H, each twice in resistivity: 2 sqrt(2) %.
    ReadingInput in = far_field();
    in.sensors = {.gain_rel = 0.01};
    in.sent_a.dwell_s = in.sent_b.dwell_s = 1e12;
    Reading out = assess_reading(in, {});
    EXPECT_NEAR(out.resistivity_sd_xy_percent, 2 * std::sqrt(2.0), 1e-3);
    EXPECT_NEAR(out.correlated_resistivity_sd_yx_percent, 2 * std::sqrt(2.0), 1e-3);
    EXPECT_EQ(out.verdict, Verdict::usable);
    // What is left of the target is for the noise: the dwells that dwell_terms asks for just meet it, floor included.
    in.noise.h.sensor *= 1e3;
    const DwellTerm term = dwell_terms(in, {}).uncorrelated.front();
    in.sent_a.dwell_s = in.sent_b.dwell_s = term.a_s + term.b_s;
    EXPECT_NEAR(error_ratio(read_tensor(in), {}), 1, 1e-9) << "identity: asked and given";
    in.sensors.gain_rel = 0.05;
    EXPECT_TRUE(std::isinf(dwell_terms(in, {}).uncorrelated.front().a_s))
        << "definition: the sensors alone miss the target";
}

TEST(AssessReading, TheWireLowersAndTurnsE) {
    // Closed form: at the corner E falls to 1/sqrt(2) and lags by 45 degrees.
    ReadingInput in = far_field();
    in.wire_response = 1.0 / Complex(1, 1);
    const Reading out = assess_reading(in, {});
    EXPECT_NEAR(out.bias_xy_percent, -50, 1e-9);
    EXPECT_NEAR(out.bias_yx_deg, -45, 1e-9);
    EXPECT_EQ(out.verdict, Verdict::near_field) << "45 degrees off is no sounding";
    EXPECT_NEAR(out.snr_a.ey, assess_reading(far_field(), {}).snr_a.ey / 2, 1e-6 * out.snr_a.ey);
}

TEST(AssessReading, WithoutARecordThereIsNoBar) {
    ReadingInput in = far_field();
    for (const auto& [why, words] :
         {std::pair{NoRecord::clipped, "converter"}, {NoRecord::dwell_too_short, "record"}}) {
        in.no_record = why;
        const Reading out = assess_reading(in, {});
        EXPECT_EQ(out.verdict, Verdict::noisy);
        EXPECT_NE(out.reason.find(words), std::string::npos) << out.reason;
        EXPECT_TRUE(std::isnan(out.resistivity_sd_xy_percent)) << "definition: not measured, no number";
    }
}

}  // namespace
