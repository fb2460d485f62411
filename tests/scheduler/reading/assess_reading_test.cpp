#include "scheduler/reading/assess_reading.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "model/base/constants.hpp"
#include "scheduler/reading/reading_quality.hpp"

namespace assess_reading_test {

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

TEST(AssessReading, EachElementHasItsOwnLoopsTime) {
    // Closed form: yx comes of loop A alone here, xy of B; the bars go with 1/sqrt(T).
    ReadingInput in = far_field();
    in.sent_b.dwell_s = 40;
    const Reading out = assess_reading(in, {});
    EXPECT_NEAR(out.resistivity_sd_yx_percent, 2 * out.resistivity_sd_xy_percent, 1e-9);
    EXPECT_NEAR(out.phase_sd_yx_deg, 2 * out.phase_sd_xy_deg, 1e-9);
    EXPECT_NEAR(out.correlated_resistivity_sd_yx_percent, 2 * out.correlated_resistivity_sd_xy_percent, 1e-9);
    EXPECT_NEAR(out.correlated_phase_sd_yx_deg, 2 * out.correlated_phase_sd_xy_deg, 1e-9);
    // Closed form: sd(phase in radians) is half of sd(rho)/rho.
    EXPECT_NEAR(out.phase_sd_xy_deg, out.resistivity_sd_xy_percent / 200 * 180 / ampturn::model::pi, 1e-9);
    EXPECT_NEAR(out.snr_b.hy, 4 * out.snr_a.hx, 1e-6 * out.snr_b.hy);
    EXPECT_EQ(out.dwell_a_s, 10);
    EXPECT_EQ(out.dwell_b_s, 40);
    // Closed form: fields at right angles, one twice the other.
    in.sent_b.moment_a_m2_peak = 500;
    EXPECT_NEAR(assess_reading(in, {}).h_condition_number, 2, 1e-9);
}

TEST(AssessReading, SaysTheNumbersThatDecide) {
    // Closed form: SNR 90 is 100 sqrt(4/90) = 21.1 % and half of it in radians, 6.04 degrees; two digits are told.
    ReadingInput in = far_field();
    const double snr = assess_reading(in, {}).snr_a.hx;
    in.noise.h.sensor *= snr / 90;
    in.noise.e.sensor *= snr / 90;
    EXPECT_EQ(assess_reading(in, {}).reason, "error bar 21 % and 6 deg (target 5 % and 2 deg)");
    EXPECT_EQ(assess_reading(in, {}, Reasons::left_out).reason, "");
    // Closed form: 1.0412^2 is 8.41 % more; 1500 m is 1500/159.15 = 9.4 skin depths of 100 ohm m at 1 kHz, by the ground's own Z.
    Targets targets;
    targets.rho_error_percent = 60;
    targets.phase_error_deg = 20;
    in.b.horizontal.ex_v_per_m *= std::polar(1.0412, 0.0175);
    const std::string off = "bias +8.4 % and +1 deg at 9.4 skin depths (tolerance 5 % and 2 deg)";
    EXPECT_EQ(assess_reading(in, targets).reason, off) << "strong enough: nothing of the error bar";
    EXPECT_EQ(assess_reading(in, {}).reason.substr(0, off.size() + 2), off + "; ") << "too weak as well";
    targets.rho_bias_percent = 10;
    const Reading usable = assess_reading(in, targets);
    EXPECT_EQ(usable.verdict, Verdict::usable);
    EXPECT_EQ(usable.reason.substr(usable.reason.find(';')), "; bias +8.4 % and +1 deg");
    targets.near_field_bias_percent = 8;
    targets.rho_bias_percent = 5;
    const Reading near = assess_reading(in, targets);
    EXPECT_EQ(near.verdict, Verdict::near_field);
    EXPECT_EQ(near.reason, off);
}

TEST(AssessReading, WhatTheNaturalFieldAloneWouldGive) {
    // Closed form: 200 sqrt((3 + 1) / 2 / looks) per cent, one look a tenth of the frequency's period, at least one.
    ampturn::model::receiver::NoiseAt noise{};
    noise.e = {.natural = 1, .mains = 2, .sensor = 1};
    noise.h = {.natural = 4, .mains = 1, .sensor = 3};
    EXPECT_NEAR(natural_sounding_sd_percent(noise, 1000, 600), 200 * std::sqrt(2.0 / 60'000), 1e-12);
    EXPECT_NEAR(natural_sounding_sd_percent(noise, 1000, 0.015), 200 * std::sqrt(2.0 / 1.5), 1e-12);
    EXPECT_NEAR(natural_sounding_sd_percent(noise, 1000, 0.001), 200 * std::sqrt(2.0), 1e-12);
    ReadingInput in = far_field();
    in.noise.h.natural = 1e-16;
    in.noise.e.natural = 1e-16 * std::norm(impedance);
    in.recorded_s = 0.5;
    EXPECT_NEAR(assess_reading(in, {}).natural_signal_sd_percent, 200 * std::sqrt(1 / 50.0), 1e-9);
}

TEST(AssessReading, WithoutATensorTheReasonSaysWhatIsMissing) {
    const Transmission nothing{}, sent{.moment_a_m2_peak = 1000, .dwell_s = 10};
    const struct {
        Transmission a, b, together;
        const char* reason;
    } rows[] = {
        {nothing, nothing, nothing, "neither loop was sent"},
        {sent, nothing, nothing, "loop B was not sent"},
        {nothing, sent, nothing, "loop A was not sent"},
        {nothing, nothing, sent, "loops A and B were sent at once only: one polarisation gives no tensor"}};
    for (const auto& row : rows) {
        ReadingInput in = far_field();
        in.sent_a = row.a;
        in.sent_b = row.b;
        in.together_a = in.together_b = row.together;
        const Reading out = assess_reading(in, {});
        EXPECT_EQ(out.verdict, Verdict::not_sent);
        EXPECT_EQ(out.reason, row.reason);
        EXPECT_EQ(out.dwell_a_s, row.a.dwell_s + row.together.dwell_s) << "definition: all that was sent";
        EXPECT_EQ(out.moment_b_a_m2, std::max(row.b.moment_a_m2_peak, row.together.moment_a_m2_peak));
    }
}

TEST(AssessReading, TellsBothElementsAsTheyWouldBeRecorded) {
    // Closed form: E of loop B 1.04 times as large and turned by 3 degrees is xy; of loop A 0.97 times and by -2 degrees is yx.
    ReadingInput in = far_field();
    in.b.horizontal.ex_v_per_m *= std::polar(1.04, 3 * ampturn::model::pi / 180);
    in.a.horizontal.ey_v_per_m *= std::polar(0.97, -2 * ampturn::model::pi / 180);
    const Reading out = assess_reading(in, {});
    EXPECT_NEAR(out.resistivity_xy_ohm_m, 100 * 1.04 * 1.04, 1e-9);
    EXPECT_NEAR(out.resistivity_yx_ohm_m, 100 * 0.97 * 0.97, 1e-9);
    EXPECT_NEAR(out.phase_xy_deg, 48, 1e-9);
    EXPECT_NEAR(out.phase_yx_deg, 43, 1e-9);
    EXPECT_NEAR(out.bias_xy_percent, 100 * (1.04 * 1.04 - 1), 1e-9);
    EXPECT_NEAR(out.bias_yx_percent, 100 * (0.97 * 0.97 - 1), 1e-9);
    EXPECT_NEAR(out.bias_xy_deg, 3, 1e-9);
    EXPECT_NEAR(out.bias_yx_deg, -2, 1e-9);
    EXPECT_NEAR(out.plane_phase_deg, 45, 1e-9);
}

}  // namespace assess_reading_test
