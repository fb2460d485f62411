#include "scheduler/rehearse/station/drawn_sensors.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace drawn_sensors_test {

using namespace ampturn;
using ampturn::rehearse::station::drawn_sensors;
using model::ground::SensorsOff;

plan::Receiver receiver() {
    plan::Receiver r;
    r.calibration_percent = 2;
    r.azimuth_error_deg = 1;
    r.level_error_deg = 0.5;
    return r;
}

TEST(DrawnSensors, OneSetGoesRoundAndIsLaidOutAnewAtEachStation) {
    // Definition.
    const SensorsOff here = drawn_sensors(receiver(), 7, 0, 0, 3),
                     there = drawn_sensors(receiver(), 7, 1, 0, 3),
                     higher = drawn_sensors(receiver(), 7, 0, 0, 4);
    EXPECT_EQ(here.gain, there.gain);
    EXPECT_NE(here.turned_rad, there.turned_rad);
    EXPECT_NE(here.off_level_rad, there.off_level_rad);
    EXPECT_NE(here.gain, higher.gain);
    EXPECT_EQ(here.turned_rad, higher.turned_rad);
    EXPECT_EQ(here.off_level_rad, higher.off_level_rad);
    EXPECT_NE(here.gain, drawn_sensors(receiver(), 8, 0, 0, 3).gain);
    const SensorsOff other_set = drawn_sensors(receiver(), 7, 0, 1, 3);
    EXPECT_NE(here.gain, other_set.gain);
    EXPECT_EQ(here.turned_rad, other_set.turned_rad) << "laid out at the same station";
}

TEST(DrawnSensors, ScatterByWhatThePlanSays) {
    // Independent: the mean square of 4000 draws, known to 2.2 %.
    double gains = 0, turns = 0, levels = 0;
    constexpr int draws = 1000;
    for (int n = 0; n < draws; ++n) {
        const SensorsOff off = drawn_sensors(receiver(), static_cast<std::uint64_t>(n), 2, 0, 5);
        for (const auto& g : off.gain) gains += std::norm(g - 1.0) / (4 * draws);
        for (const double t : off.turned_rad) turns += t * t / (4 * draws);
        for (const double l : off.off_level_rad) levels += l * l / (2 * draws);
    }
    const double degree = std::acos(-1) / 180;
    EXPECT_NEAR(gains, 2 * 0.02 * 0.02, 0.1 * gains) << "size and phase each";
    EXPECT_NEAR(turns, degree * degree, 0.1 * turns);
    EXPECT_NEAR(levels, 0.25 * degree * degree, 0.15 * levels);
    plan::Receiver exact = receiver();
    exact.calibration_percent = exact.azimuth_error_deg = exact.level_error_deg = 0;
    EXPECT_EQ(drawn_sensors(exact, 1, 2, 0, 3).gain, SensorsOff{}.gain);
}

}  // namespace drawn_sensors_test
