#include "model/receiver/window.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>
#include <vector>

#include "tests/outside_check.hpp"
#include "tests/paths.hpp"

namespace window_test {

using namespace ampturn::model::receiver;

struct Figures {
    double bandwidth_bins, scalloping_db;
};
// By their definitions: N sum w^2/(sum w)^2, and the loss of a tone half a bin off.
Figures figures_of(const std::vector<double>& samples) {
    const auto n = static_cast<double>(samples.size());
    double sum = 0, square = 0;
    std::complex<double> half_bin = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        sum += samples[i];
        square += samples[i] * samples[i];
        half_bin += samples[i] * std::polar(1.0, -std::numbers::pi * static_cast<double>(i) / n);
    }
    return {n * square / (sum * sum), -20 * std::log10(std::abs(half_bin) / sum)};
}

// Independent figures, quotable by id: tests/reference/rig/signal.json, kind "window", finite periodic forms.
TEST(PeriodicSamples, FiguresAreThoseOfTheReferenceCases) {
    std::ifstream in(ampturn::test::source_path("tests/reference/rig/signal.json"));
    const auto cases = nlohmann::json::parse(in).at("cases");
    int compared = 0;
    ampturn::test::OutsideCheck check("window figures", "tests/reference/rig/signal.json, kind window",
                                      "absolute");
    for (const auto& c : cases) {
        if (c.at("kind") != "window") continue;
        if (!c.at("inputs").contains("cosine_coefficients")) continue;
        const Window window{c.at("inputs").at("cosine_coefficients").get<std::vector<double>>()};
        EXPECT_NEAR(noise_bandwidth_bins(window), c.at("outputs").at("enbw_bins").get<double>(), 1e-12)
            << c.at("id");
        for (const auto& finite : c.at("outputs").at("finite")) {
            if (finite.at("form") != "periodic") continue;
            const auto samples = periodic_samples(window, finite.at("N").get<std::size_t>());
            const Figures figures = figures_of(samples);
            const std::string id = c.at("id");
            check.absolute(coherent_gain(samples), finite.at("coherent_gain"), 1e-12, id + " gain");
            check.absolute(figures.bandwidth_bins, finite.at("enbw_bins"), 1e-12, id + " bandwidth, bins");
            check.absolute(figures.scalloping_db, finite.at("scalloping_loss_dB"), 1e-9,
                           id + " scalloping, dB");
            ++compared;
        }
    }
    EXPECT_GE(compared, 6);
}

TEST(PeriodicSamples, FiguresAreThoseOfHarris) {
    // Published: Harris (1978), from memory.
    // Harris (1978), table I, two decimals (from memory); for Hamming's loss the print has 1.78, its definition gives 1.75.
    struct Row {
        const char* name;
        Window window;
        double gain, bandwidth_bins, scalloping_db;
    };
    const Row rows[] = {{"rectangular", rectangular_window(), 1.00, 1.00, 3.92},
                        {"Hann", hann_window(), 0.50, 1.50, 1.42},
                        {"Hamming", hamming_window(), 0.54, 1.36, 1.75},
                        {"Blackman", blackman_window(), 0.42, 1.73, 1.10},
                        {"Blackman-Harris", blackman_harris_window(), 0.36, 2.00, 0.83}};
    ampturn::test::OutsideCheck check("window figures", "Harris (1978), table I, from memory", "absolute");
    for (const Row& row : rows) {
        const auto samples = periodic_samples(row.window, 4096);
        const Figures figures = figures_of(samples);
        const std::string id = row.name;
        check.absolute(coherent_gain(samples), row.gain, 0.005, id + " gain");
        check.absolute(figures.bandwidth_bins, row.bandwidth_bins, 0.005, id + " bandwidth, bins");
        EXPECT_NEAR(noise_bandwidth_bins(row.window), figures.bandwidth_bins, 1e-12);
        check.absolute(figures.scalloping_db, row.scalloping_db, 0.005, id + " scalloping, dB");
    }
}

TEST(MainLobe, EndsAtTheFirstZeroOfTheSpectrum) {
    // Closed form: a cosine sum of K terms is zero K bins off, and not one bin nearer (Hamming's and the
    // rectangle's too).
    for (const Window& window : {rectangular_window(), hann_window(), hamming_window(), blackman_window(),
                                 blackman_harris_window()}) {
        const auto samples = periodic_samples(window, 256);
        const auto level = [&](int bins) {
            double sum = 0;
            for (std::size_t n = 0; n < samples.size(); ++n)
                sum += samples[n] * std::cos(2 * std::numbers::pi * bins * static_cast<double>(n) / 256);
            return std::abs(sum) / 256;
        };
        const int lobe = main_lobe_bins(window);
        EXPECT_LT(level(lobe), 1e-12) << lobe;
        EXPECT_GT(level(lobe - 1), 1e-3) << lobe;
    }
}

// Windows with a number: closed forms against samples, and Harris' table.
TEST(WindowWithANumber, FiguresAreThoseOfHarris) {
    struct Row {
        const char* name;
        Window window;
        double bandwidth_bins, scalloping_db;
    };
    // Harris (1978), table I, two decimals (from memory): published.
    const Row rows[] = {{"Tukey 0.25", tukey_window(0.25), 1.10, 2.96},
                        {"Tukey 0.5", tukey_window(0.5), 1.22, 2.24},
                        {"Tukey 0.75", tukey_window(0.75), 1.36, 1.73},
                        {"cosine", cosine_power_window(1), 1.23, 2.10},
                        {"cosine squared", cosine_power_window(2), 1.50, 1.42},
                        {"cosine cubed", cosine_power_window(3), 1.73, 1.08},
                        {"cosine to the fourth", cosine_power_window(4), 1.94, 0.86}};
    ampturn::test::OutsideCheck check("figures of windows with a number",
                                      "Harris (1978), table I, from memory", "absolute");
    for (const Row& row : rows) {
        const Figures figures = figures_of(periodic_samples(row.window, 8192));
        EXPECT_NEAR(noise_bandwidth_bins(row.window), figures.bandwidth_bins, 1e-6) << row.name;
        check.absolute(figures.bandwidth_bins, row.bandwidth_bins, 0.006,
                       std::string(row.name) + " bandwidth, bins");
        check.absolute(figures.scalloping_db, row.scalloping_db, 0.006,
                       std::string(row.name) + " scalloping, dB");
    }
    EXPECT_THROW(tukey_window(1.1), std::invalid_argument);
    EXPECT_THROW(cosine_power_window(0), std::invalid_argument);
    EXPECT_EQ(main_lobe_bins(cosine_power_window(3)), 3) << "closed form: first zero at 1 + p/2";
    EXPECT_NEAR(tukey_window(1).at(0.3), hann_window().at(0.3), 1e-12) << "identity";
}

}  // namespace window_test
