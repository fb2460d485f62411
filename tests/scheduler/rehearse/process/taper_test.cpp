#include "scheduler/rehearse/process/taper.hpp"
#include "tests/paths.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

namespace {

using namespace ampturn;
using namespace ampturn::rehearse;

// Independent figures, quotable by id: tests/reference/rig/signal.json, kind "window", finite periodic forms.
TEST(Taper, FiguresAreThoseOfTheReferenceCases) {
    const std::map<std::string, plan::Window> known{
        {"rectangular", plan::Window::rectangular},
        {"hann", plan::Window::hann},
        {"blackman_harris_4_92dB", plan::Window::blackman_harris}};
    std::ifstream in(ampturn::test::source_path("tests/reference/rig/signal.json"));
    const auto cases = nlohmann::json::parse(in).at("cases");
    int compared = 0;
    for (const auto& c : cases) {
        if (c.at("kind") != "window" || !known.contains(c.at("inputs").at("window"))) continue;
        for (const auto& finite : c.at("outputs").at("finite")) {
            if (finite.at("form") != "periodic") continue;
            const auto weights =
                taper(known.at(c.at("inputs").at("window")), finite.at("N").get<std::size_t>());
            const std::string id = c.at("id");
            EXPECT_NEAR(coherent_gain(weights), finite.at("coherent_gain").get<double>(), 1e-12) << id;
            EXPECT_NEAR(noise_bandwidth_bins(weights), finite.at("enbw_bins").get<double>(), 1e-12) << id;
            EXPECT_NEAR(scalloping_loss_db(weights), finite.at("scalloping_loss_dB").get<double>(), 1e-9)
                << id;
            ++compared;
        }
    }
    EXPECT_EQ(compared, 6);
}

TEST(Taper, FiguresAreThoseOfHarris) {
    // Published:
    // Harris (1978), table I, two decimals (from memory).
    struct Row {
        plan::Window window;
        double gain, bandwidth_bins, scalloping_db;
    };
    constexpr Row rows[] = {{plan::Window::rectangular, 1.00, 1.00, 3.92},
                            {plan::Window::hann, 0.50, 1.50, 1.42},
                            {plan::Window::hamming, 0.54, 1.36, 1.75},
                            {plan::Window::blackman, 0.42, 1.73, 1.10},
                            {plan::Window::blackman_harris, 0.36, 2.00, 0.83}};
    for (const Row& row : rows) {
        const auto weights = taper(row.window, 4096);
        EXPECT_NEAR(coherent_gain(weights), row.gain, 0.005);
        EXPECT_NEAR(noise_bandwidth_bins(weights), row.bandwidth_bins, 0.005);
        EXPECT_NEAR(scalloping_loss_db(weights), row.scalloping_db, 0.005);
    }
}

}  // namespace
