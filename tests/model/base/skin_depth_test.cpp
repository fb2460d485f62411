#include "model/base/skin_depth.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace skin_depth_test {

using ampturn::model::skin_depth_m;

struct Row {
    double resistivity_ohm_m, frequency_hz, expected_m, tolerance_rel;
    const char* source;
};

constexpr Row skin_rows[] = {
    {100.0, 1e3, 159.154943, 1e-8, "closed form: mu0 = 4 pi 1e-7 makes it 1000 / (2 pi) m"},
    {100.0, 1e3, 503 * 0.316227766, 2e-3, "common practice, no source: 503 sqrt(rho/f) m, to 3 figures"},
};

TEST(SkinDepth, MatchesSources) {
    // Closed form and common practice, as each row says.
    for (const Row& r : skin_rows)
        EXPECT_NEAR(skin_depth_m(r.resistivity_ohm_m, r.frequency_hz), r.expected_m,
                    r.tolerance_rel * r.expected_m)
            << r.source;
}

// Source of the constant: tests/reference/field/depth_formulas.csv, 503.3 sqrt(rho/f) by arithmetic, to four
// figures.
TEST(SkinDepth, HasTheConstantOfTheReferenceTableOverTheWholeRange) {
    // Published (Bostick 1977, from memory) and closed form.
    for (const double rho : {0.001, 1.0, 30.0, 1e3, 1e6})
        for (const double f : {1.0, 50.0, 1e3, 1e6})
            EXPECT_NEAR(skin_depth_m(rho, f), 503.3 * std::sqrt(rho / f), 1e-4 * skin_depth_m(rho, f));
}

}  // namespace skin_depth_test
