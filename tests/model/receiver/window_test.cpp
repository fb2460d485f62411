#include "model/receiver/window.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>
#include <stdexcept>

#include "tests/paths.hpp"

namespace {

using namespace ampturn::model::receiver;

// Independent figures, quotable by id: tests/reference/rig/signal.json, kind "window", finite periodic forms.
TEST(PeriodicSamples, FiguresAreThoseOfTheReferenceCases) {
    std::ifstream in(ampturn::test::source_path("tests/reference/rig/signal.json"));
    const auto cases = nlohmann::json::parse(in).at("cases");
    int compared = 0;
    for (const auto& c : cases) {
        if (c.at("kind") != "window") continue;
        const auto window = window_by_name(c.at("inputs").at("window").get<std::string>());
        ASSERT_TRUE(window) << c.at("id");
        if (window->shape != Window::Shape::cosine_sum) continue;
        for (const auto& finite : c.at("outputs").at("finite")) {
            if (finite.at("form") != "periodic") continue;
            const WindowFigures figures =
                window_figures(periodic_samples(*window, finite.at("N").get<std::size_t>()));
            const std::string id = c.at("id");
            EXPECT_NEAR(figures.coherent_gain, finite.at("coherent_gain").get<double>(), 1e-12) << id;
            EXPECT_NEAR(figures.enbw_bins, finite.at("enbw_bins").get<double>(), 1e-12) << id;
            EXPECT_NEAR(figures.scalloping_db, finite.at("scalloping_loss_dB").get<double>(), 1e-9) << id;
            ++compared;
        }
    }
    EXPECT_GE(compared, 6);
}

TEST(PeriodicSamples, FiguresAreThoseOfHarris) {
    // Published: Harris (1978), from memory.
    // Harris (1978), table I, two decimals (from memory).
    struct Row {
        const char* window;
        double gain, bandwidth_bins, scalloping_db;
    };
    constexpr Row rows[] = {{"rectangular", 1.00, 1.00, 3.92},
                            {"hann", 0.50, 1.50, 1.42},
                            {"hamming", 0.54, 1.36, 1.75},
                            {"blackman", 0.42, 1.73, 1.10},
                            {"blackman_harris_4_92dB", 0.36, 2.00, 0.83}};
    for (const Row& row : rows) {
        const WindowFigures figures = window_figures(periodic_samples(*window_by_name(row.window), 4096));
        EXPECT_NEAR(figures.coherent_gain, row.gain, 0.005);
        EXPECT_NEAR(figures.enbw_bins, row.bandwidth_bins, 0.005);
        EXPECT_NEAR(figures.scalloping_db, row.scalloping_db, 0.005);
    }
}

TEST(MainLobe, EndsAtTheFirstZeroOfTheSpectrum) {
    // Closed form: a cosine sum of K terms is zero K bins off, and not one bin nearer (Hamming's and the
    // rectangle's too).
    for (const char* name : {"rectangular", "hann", "hamming", "blackman_exact", "blackman_harris_4_92dB"}) {
        const Window window = *window_by_name(name);
        const auto samples = periodic_samples(window, 256);
        const auto level = [&](int bins) {
            double sum = 0;
            for (std::size_t n = 0; n < samples.size(); ++n)
                sum += samples[n] * std::cos(2 * std::numbers::pi * bins * static_cast<double>(n) / 256);
            return std::abs(sum) / 256;
        };
        const int lobe = main_lobe_bins(window);
        EXPECT_LT(level(lobe), 1e-12) << name;
        EXPECT_GT(level(lobe - 1), 1e-3) << name;
    }
    EXPECT_THROW((void)main_lobe_bins(*window_by_name("triangle")), std::invalid_argument);
}

}  // namespace
