#include "scheduler/rehearse/process/transfer.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

#include "scheduler/rehearse/process/spectra.hpp"
#include "scheduler/run/counter_random.hpp"

namespace transfer_test {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using Complex = std::complex<double>;

const Complex z_ground = std::polar(2.0, 0.8);

/// Lines of a plane wave over ground of impedance z_ground, noise of the given sd (per complex amplitude) in
/// each channel, from one stream.
LineRecords noisy_lines(std::size_t count, double azimuth, double sd_e, double sd_h, std::uint64_t stream) {
    const run::CounterRandom random(17, stream);
    LineRecords records(count);
    for (std::size_t k = 0; k < count; ++k) {
        const auto noise = [&](std::uint64_t channel, double sd) {
            const auto pair = random.normal_pair(4 * k + channel);
            return sd / std::sqrt(2.0) * Complex(pair[0], pair[1]);
        };
        const Complex hx = std::cos(azimuth), hy = std::sin(azimuth);
        records[k] = {.middle_s = static_cast<double>(k),
                      .ex = z_ground * hy + noise(0, sd_e),
                      .ey = -z_ground * hx + noise(1, sd_e),
                      .hx = hx + noise(2, sd_h),
                      .hy = hy + noise(3, sd_h)};
    }
    return records;
}

TEST(Transfer, IsExactWithoutNoise) {
    // Definition: the ground the lines were made with; coherence 1 without noise.
    const auto pieces = line_cross_spectra(noisy_lines(5, 0.2, 0, 0, 1), noisy_lines(4, 1.5, 0, 0, 2));
    const TransferFit fit = fit_transfer(pieces, {});
    EXPECT_LT(std::abs(fit.impedance.xy_ohm - z_ground), 1e-12);
    EXPECT_LT(std::abs(fit.impedance.yx_ohm + z_ground), 1e-12);
    EXPECT_LT(std::abs(fit.impedance.xx_ohm), 1e-12);
    EXPECT_LT(fit.variance.xy, 1e-24);
    EXPECT_NEAR(fit.coherence2_x, 1, 1e-12);
}

TEST(Transfer, ScatterJackknifeAndFirstOrderFormulaAgree) {
    // Independent:
    // Three unlike ways to the same variance: Monte Carlo over 600 data sets, mean of the jackknife, and the
    // first-order formula of model/ground/tensor.hpp. 600 draws of a complex number give its variance to 4 %.
    constexpr std::size_t count = 16, draws = 600;
    constexpr double sd_e = 0.2, sd_h = 0.05;
    for (const bool robust : {false, true}) {
        double scatter = 0, jackknife = 0;
        for (std::size_t draw = 0; draw < draws; ++draw) {
            const auto a = noisy_lines(count, 0.3, sd_e, sd_h, 100 + 2 * draw);
            const auto b = noisy_lines(count, 1.7, sd_e, sd_h, 101 + 2 * draw);
            const TransferFit fit = fit_transfer(line_cross_spectra(a, b), {.robust = robust});
            scatter += std::norm(fit.impedance.xy_ohm - z_ground) / draws;
            jackknife += fit.variance.xy / draws;
        }
        const auto exact = [](double azimuth) {
            const Complex hx = std::cos(azimuth), hy = std::sin(azimuth);
            return model::ground::HorizontalFields{z_ground * hy, -z_ground * hx, hx, hy};
        };
        const double ve = sd_e * sd_e / count, vh = sd_h * sd_h / count;
        const auto predicted =
            model::ground::estimate_tensor(exact(0.3), exact(1.7), {ve, ve, vh, vh}, {ve, ve, vh, vh})
                .variance.xy;
        EXPECT_NEAR(std::sqrt(scatter / predicted), 1, 0.08) << robust;
        EXPECT_NEAR(std::sqrt(jackknife / predicted), 1, 0.08) << robust;
    }
}

TEST(Transfer, RobustWeightsSurviveWildRecords) {
    auto a = noisy_lines(20, 0.3, 0.05, 0.01, 1), b = noisy_lines(20, 1.8, 0.05, 0.01, 2);
    for (const std::size_t k : {3u, 11u, 12u}) a[k].ex += Complex(6.0, -4.0);
    const auto pieces = line_cross_spectra(a, b);
    const double plain = std::abs(fit_transfer(pieces, {.robust = false}).impedance.xy_ohm - z_ground);
    const TransferFit robust = fit_transfer(pieces, {});
    EXPECT_GT(plain, 0.2);
    EXPECT_LT(std::abs(robust.impedance.xy_ohm - z_ground), 0.05);
    EXPECT_LT(robust.weight_x, 0.97);
    EXPECT_GT(robust.weight_y, robust.weight_x);
}

TEST(Transfer, PlainLeastSquaresIsLowByTheKnownFactorAndTheTransmittersPhaseIsNot) {
    // Closed form: <E H*>/<H H*> -> Z/(1 + 1/SNR_H); tests/reference/rig/signal.json, kind impedance_error.
    constexpr double sd_h = 0.5;  // SNR_H = 4 along the field
    std::vector<CrossSpectra> pieces = line_cross_spectra(noisy_lines(4000, 0, 0.05, sd_h, 1),
                                                          noisy_lines(4000, std::acos(0.0), 0.05, sd_h, 2));
    EXPECT_NEAR(
        std::abs(fit_transfer(grouped(pieces, 100), {.robust = false}).impedance.xy_ohm) / std::abs(z_ground),
        1, 0.02);
    pieces = grouped(referenced_to_h(pieces), 100);
    // Hy carries the field in one record of two: <|Hy|^2> = 1/2, its noise 1/4.
    EXPECT_NEAR(std::abs(fit_transfer(pieces, {.robust = false}).impedance.xy_ohm) / std::abs(z_ground),
                1 / (1 + sd_h * sd_h / 0.5), 0.02);
    // E is nearly free of noise here, so E as the reference is nearly right.
    EXPECT_NEAR(std::abs(fit_transfer(referenced_to_e(pieces), {.robust = false}).impedance.xy_ohm) /
                    std::abs(z_ground),
                1, 0.02);
}

TEST(Transfer, RefusesWhatHasNoTensor) {
    const auto why_not = [](const std::vector<CrossSpectra>& pieces) -> std::optional<NoTransfer> {
        try {
            (void)fit_transfer(pieces, {});
        } catch (const NoTransferError& refused) {
            return refused.why();
        }
        return std::nullopt;
    };
    EXPECT_EQ(why_not(line_cross_spectra(noisy_lines(5, 1, 0, 0, 1), noisy_lines(5, 1, 0, 0, 2))),
              NoTransfer::one_direction);
    EXPECT_EQ(why_not(line_cross_spectra(noisy_lines(5, 1, 0, 0, 1), noisy_lines(1, 2, 0, 0, 2))),
              NoTransfer::too_few_records);
}

}  // namespace transfer_test
