#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>

#include "scheduler/reading/assess_reading.hpp"
#include "scheduler/reading/offset_fields.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::reading {
namespace error_bars_monte_carlo_test {

/// Independent: noisy amplitudes are synthesised, an impedance is formed from each set, and the scatter of
/// apparent resistivity and phase is compared with the error bars predicted for a natural field whose E and H
/// are correlated. 20 000 draws know a standard deviation to 0.5 %; what first-order propagation leaves out is
/// below 1 % at these errors.
TEST(ErrorBars, HoldInAMonteCarlo) {
    const model::ground::LayeredEarth earth(
        {{600, 14, 9}, {90, 38, 20}, {3500, std::numeric_limits<double>::infinity(), 6}});
    constexpr double f = 14725, moment_a = 1500, moment_b = 900, dwell_a_s = 10, dwell_b_s = 6, enbw = 1.5;
    const OffsetFields table(earth, f, 4.5, 4.5, OffsetGrid(100, 2000));
    constexpr double pi = 3.14159265358979323846, mu0 = 4e-7 * pi;
    for (const double bearing_deg : {10.0, 60.0, 140.0}) {
        ReadingInput in{.frequency_hz = f,
                        .a = table.at(0, 5, 0, 700, bearing_deg),
                        .b = table.at(1, 90, 0, 700, bearing_deg),
                        .plane_impedance_ohm = table.plane_impedance_ohm(),
                        .offset_m = 700};
        in.window_enbw_bins = enbw;
        in.sent_a.add(moment_a, dwell_a_s);
        in.sent_b.add(moment_b, dwell_b_s);
        // Noise well below the larger channels, so that errors are some per cent.
        const double h_psd = 2e-4 * moment_a * moment_a *
                             (std::norm(in.a.horizontal.hx_a_per_m) + std::norm(in.a.horizontal.hy_a_per_m)),
                     e_psd = h_psd * std::norm(in.plane_impedance_ohm);
        // A natural field twice as strong in power, a plane wave: its E follows from its H.
        const double natural_psd = 2 * h_psd;
        const std::complex<double> plane = in.plane_impedance_ohm;
        in.noise = {.h = {natural_psd, 0, h_psd}, .e = {natural_psd * std::norm(plane), 0, e_psd}};
        const Reading predicted = assess_reading(in, plan::Targets{});

        const run::CounterRandom random(2031, 7);
        std::uint64_t index = 0;
        const auto noisy = [&](std::complex<double> value, double psd, double dwell_s) {
            const auto [re, im] = random.normal_pair(index++);
            return value +
                   std::sqrt(psd * enbw / dwell_s) * std::complex<double>(re, im);  // E|n|^2 = 2 S b / T
        };
        constexpr int draws = 20'000;
        std::array<double, 4> sum{}, squares{};
        for (int i = 0; i < draws; ++i) {
            const auto record = [&](const FieldPerMoment& u, double m, double dwell_s) {
                const auto nx = noisy(0, natural_psd, dwell_s), ny = noisy(0, natural_psd, dwell_s);
                return model::ground::HorizontalFields{
                    noisy(m * u.horizontal.ex_v_per_m, e_psd, dwell_s) + plane * ny,
                    noisy(m * u.horizontal.ey_v_per_m, e_psd, dwell_s) - plane * nx,
                    noisy(m * u.horizontal.hx_a_per_m, h_psd, dwell_s) + nx,
                    noisy(m * u.horizontal.hy_a_per_m, h_psd, dwell_s) + ny};
            };
            const auto a = record(in.a, moment_a, dwell_a_s), b = record(in.b, moment_b, dwell_b_s);
            const std::complex<double> determinant =
                a.hx_a_per_m * b.hy_a_per_m - a.hy_a_per_m * b.hx_a_per_m;
            const std::complex<double> xy =
                (b.ex_v_per_m * a.hx_a_per_m - a.ex_v_per_m * b.hx_a_per_m) / determinant;
            const std::complex<double> yx =
                (a.ey_v_per_m * b.hy_a_per_m - b.ey_v_per_m * a.hy_a_per_m) / determinant;
            const std::array<double, 4> values{std::norm(xy) / (2 * pi * f * mu0), std::arg(xy) * 180 / pi,
                                               std::norm(yx) / (2 * pi * f * mu0), std::arg(-yx) * 180 / pi};
            for (std::size_t k = 0; k < 4; ++k) {
                sum[k] += values[k];
                squares[k] += values[k] * values[k];
            }
        }
        const auto sd = [&](std::size_t k) {
            return std::sqrt(squares[k] / draws - std::pow(sum[k] / draws, 2));
        };
        const double tolerance = 0.03;
        EXPECT_NEAR(100 * sd(0) / predicted.resistivity_xy_ohm_m,
                    predicted.correlated_resistivity_sd_xy_percent,
                    tolerance * predicted.correlated_resistivity_sd_xy_percent)
            << bearing_deg;
        EXPECT_NEAR(sd(1), predicted.correlated_phase_sd_xy_deg,
                    tolerance * predicted.correlated_phase_sd_xy_deg)
            << bearing_deg;
        EXPECT_NEAR(100 * sd(2) / predicted.resistivity_yx_ohm_m,
                    predicted.correlated_resistivity_sd_yx_percent,
                    tolerance * predicted.correlated_resistivity_sd_yx_percent)
            << bearing_deg;
        EXPECT_NEAR(sd(3), predicted.correlated_phase_sd_yx_deg,
                    tolerance * predicted.correlated_phase_sd_yx_deg)
            << bearing_deg;
        // Uncorrelated, the natural field's E and H would scatter it further.
        EXPECT_GT(predicted.resistivity_sd_xy_percent, 1.1 * predicted.correlated_resistivity_sd_xy_percent);
        EXPECT_GT(predicted.correlated_resistivity_sd_xy_percent, 0.2);
        EXPECT_LT(predicted.correlated_resistivity_sd_xy_percent, 20) << "first order no longer holds";
    }
}

}  // namespace error_bars_monte_carlo_test
}  // namespace ampturn::reading
