#include "model/receiver/line_placement.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/reference_csv.hpp"

namespace line_placement_test {

using namespace ampturn::model::receiver;

PlacementRules rules() {
    PlacementRules r;
    r.sample_rate_hz = {102400, 1};
    r.record_length = 102400;  // bins of 1 Hz
    r.interferers = {{"beacon", 16400, 100}};
    return r;
}
bool has(const PlacementVerdict& v, PlacementFault f) {
    for (const PlacementRemark& r : v.remarks)
        if (r.fault == f) return true;
    return false;
}

TEST(Lines, TwoHertzFromTheFortyFirstHarmonic) {
    // Closed form: 2048 - 41 * 50 Hz.
    const PlacementVerdict v = judge_placement(rules(), {2048})[0];
    ASSERT_TRUE(has(v, PlacementFault::mains));
    EXPECT_EQ(v.mains.harmonic, 41);
    EXPECT_NEAR(v.mains.offset_hz, -2, 0.2) << "24 MHz / 11718 is 2048.13 Hz";
    ASSERT_TRUE(v.alternative_hz);
    const PlacementVerdict other = judge_placement(rules(), {*v.alternative_hz})[0];
    EXPECT_TRUE(other.clean()) << *v.alternative_hz;
}

TEST(Lines, GuardIsWanderAndMainLobe) {
    // Closed form: 0.1 Hz an order, not under 0.5 Hz (0.5 Hz an order on a weak grid), and the lobe.
    EXPECT_NEAR(mains_guard_hz(41, 50, false, 2), 6.1, 1e-12);
    EXPECT_NEAR(mains_guard_hz(1, 50, false, 2), 2.5, 1e-12);
    EXPECT_NEAR(mains_guard_hz(41, 50, true, 2), 22.5, 1e-12);
    EXPECT_NEAR(mains_guard_hz(600, 50, false, 2), 15, 1e-12) << "the middle two fifths of 50 Hz";
    EXPECT_NEAR(judge_placement(rules(), {2048})[0].mains_guard_hz, 4.1 + 3, 1e-12);
    PlacementRules r = rules();
    r.mains_hz = 0;
    EXPECT_FALSE(has(judge_placement(r, {2050})[0], PlacementFault::mains));
}

// The table knows no receiver: its guard is the wander alone.
TEST(Lines, PowersOfTwoClashWhereTheReferenceTableSays) {
    const ReferenceCsv table("field/binary_frequency_clash.csv", 30);
    int clashes = 0;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const int n = static_cast<int>(table.number(i, "nearest_n"));
        if (n > 100) continue;  // judged by measurement there, not by the guard
        for (const bool weak : {false, true}) {
            PlacementRules r = rules();
            r.mains_hz = table.number(i, "mains_hz");
            r.weak_grid = weak;
            r.guard_bins = 0;
            const bool clash = table.text(i, weak ? "verdict_weak_grid" : "verdict") == "CLASH";
            EXPECT_EQ(mains_clash_order(r, table.number(i, "f_tx_hz")), clash ? n : 0) << "row " << i;
            clashes += clash;
        }
    }
    EXPECT_GT(clashes, 5);
}

// 30 and 40 kHz are the 600th and 800th harmonic, and were proposed.
TEST(Lines, ProposalsKeepOffHighOrdersToo) {
    PlacementRules r = rules();
    r.interferers.clear();
    EXPECT_TRUE(has(judge_placement(r, {30000})[0], PlacementFault::mains));
    EXPECT_TRUE(has(judge_placement(r, {40000})[0], PlacementFault::mains));
    EXPECT_EQ(mains_clash_order(r, 30023), 0);
    r.bin_tolerance = 1;  // wherever the clock can send
    const auto proposed = propose_frequencies(r, 30000, 40000, 5);
    ASSERT_EQ(proposed.size(), 5u);
    for (const ProposedFrequency& line : proposed) {
        ASSERT_TRUE(line.divisor) << line.wanted_hz;
        EXPECT_GE(std::abs(std::remainder(line.frequency_hz, 50)), 15)
            << "definition: near the middle of the gap";
    }
}

TEST(Lines, MainsOfASixthOfFiftyHertz) {
    // Closed form: fifty thirds and its harmonics.
    // 50/3 Hz, railways: mains that is no whole number of hertz keeps its own harmonics. 41 x 16.7 = 684.7.
    PlacementRules r = rules();
    r.mains_hz = 16.7;
    const PlacementVerdict v = judge_placement(r, {684})[0];
    EXPECT_EQ(v.mains.harmonic, 41);
    EXPECT_NEAR(v.mains.offset_hz, v.frequency_hz - 684.7, 1e-9);
    EXPECT_TRUE(has(v, PlacementFault::mains));
}

TEST(Lines, InterferersNyquistAndHarmonics) {
    EXPECT_TRUE(has(judge_placement(rules(), {16450})[0], PlacementFault::interferer));
    EXPECT_TRUE(has(judge_placement(rules(), {48000})[0], PlacementFault::beyond_receiver));
    const auto v = judge_placement(rules(), {1000, 3000, 5000, 777});
    EXPECT_TRUE(has(v[0], PlacementFault::harmonic_of_other)) << "its 3rd and 5th fall on others";
    EXPECT_TRUE(has(v[1], PlacementFault::harmonic_of_other));
    EXPECT_TRUE(has(v[2], PlacementFault::harmonic_of_other));
    EXPECT_FALSE(has(v[3], PlacementFault::harmonic_of_other));
}

TEST(Lines, OffTheBinIsSaid) {
    // 24 MHz / 777.5 Hz has no whole even divisor on a 1 Hz bin there.
    EXPECT_TRUE(has(judge_placement(rules(), {777.5})[0], PlacementFault::off_bin));
    const auto exact = judge_placement(rules(), {960})[0];
    EXPECT_TRUE(exact.bin.exact);
    EXPECT_EQ(exact.drive.divisor, 25000);
    EXPECT_EQ(exact.drive.error_ppm, 0);
}

TEST(Lines, ProposalsAreCleanTogether) {
    const auto lines = propose_frequencies(rules(), 100, 30000, 16);
    std::vector<double> found;
    for (const ProposedFrequency& l : lines) {
        EXPECT_TRUE(l.divisor) << l.wanted_hz;
        if (l.divisor) found.push_back(l.frequency_hz);
    }
    for (const PlacementVerdict& v : judge_placement(rules(), found))
        EXPECT_TRUE(v.clean()) << v.requested_hz;
    // Log-spaced within half a step each.
    const double step = std::log(300.0) / 15;
    for (const ProposedFrequency& l : lines)
        EXPECT_LT(std::abs(std::log(l.frequency_hz / l.wanted_hz)), step / 2 * 1.1);
}

}  // namespace line_placement_test
