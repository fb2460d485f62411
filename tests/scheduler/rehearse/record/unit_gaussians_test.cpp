#include "scheduler/rehearse/record/unit_gaussians.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "scheduler/rehearse/record/threefry.hpp"

namespace unit_gaussians_test {

using namespace ampturn::rehearse::record;

TEST(Threefry, GivesThePublishedAnswers) {
    // Published: known answers of Threefry with four words of 32 bits and 20 rounds, counter and key all zeros and all ones
    // (Salmon et al. 2011 and their test vectors; from memory).
    const auto answer = [](std::uint32_t word) {
        ThreefryWords x0{}, x1{}, x2{}, x3{};
        x0 += word, x1 += word, x2 += word, x3 += word;
        threefry<20>({word, word, word, word}, x0, x1, x2, x3);
        return std::vector<std::uint32_t>{x0[0], x1[3], x2[5], x3[7]};
    };
    EXPECT_EQ(answer(0), (std::vector<std::uint32_t>{0x9c6ca96au, 0xe17eae66u, 0xfc10ecd4u, 0x5256a7d8u}));
    EXPECT_EQ(answer(~0u), (std::vector<std::uint32_t>{0x2a881696u, 0x57012287u, 0xf6c7446eu, 0xa16a6732u}));
}

TEST(UnitGaussians, AreNormalInEveryQuantileAndIndependent) {
    // Closed form: the normal distribution (Boost.Math). Kolmogorov's statistic of 2^18 values stays below 1.95/root(N) in
    // 999 of 1000 cases.
    constexpr std::size_t count = 1u << 18;
    std::vector<float> re(count), im(count);
    fill_unit_gaussians(11, 5, 0, re, im);
    double product = 0, squares = 0, neighbours = 0;
    for (std::size_t i = 0; i < count; ++i) {
        product += static_cast<double>(re[i]) * static_cast<double>(im[i]) / count;
        squares += (std::pow(re[i], 2) - 1) * (std::pow(im[i], 2) - 1) / count;
        neighbours += static_cast<double>(re[i]) * static_cast<double>(re[(i + 1) % count]) / count;
    }
    const double root = std::sqrt(static_cast<double>(count));
    EXPECT_LT(std::abs(product), 4 / root);
    EXPECT_LT(std::abs(squares), 4 * 2 / root);
    EXPECT_LT(std::abs(neighbours), 4 / root);
    const boost::math::normal_distribution<double> normal;
    for (std::vector<float>* values : {&re, &im}) {
        std::sort(values->begin(), values->end());
        double largest = 0;
        for (std::size_t i = 0; i < count; ++i)
            largest = std::max(largest, std::abs(boost::math::cdf(normal, static_cast<double>((*values)[i])) -
                                                 (static_cast<double>(i) + 0.5) / count));
        EXPECT_LT(largest, 1.95 / root);
    }
}

TEST(UnitGaussians, AreFunctionsOfSeedStreamAndPlace) {
    const auto drawn = [](std::uint64_t seed, std::uint64_t stream, std::uint64_t first, std::size_t count) {
        std::vector<float> re(count), im(count);
        fill_unit_gaussians(seed, stream, first, re, im);
        return re;
    };
    const std::vector<float> whole = drawn(1, 2, 0, 64), part = drawn(1, 2, 8, 32);
    // Draw i of a call gives values i and half the count + i.
    for (std::size_t i = 0; i < 16; ++i) {
        EXPECT_EQ(part[i], whole[8 + i]);
        EXPECT_EQ(part[16 + i], whole[32 + 8 + i]);
    }
    EXPECT_NE(whole, drawn(2, 2, 0, 64));
    EXPECT_NE(whole, drawn(1, 3, 0, 64));
    // Beyond 2^32 draws.
    EXPECT_NE(whole, drawn(1, 2, std::uint64_t{1} << 32, 64));
    EXPECT_THROW(drawn(1, 2, 0, 24), std::invalid_argument);
    EXPECT_THROW(drawn(1, 2, 4, 32), std::invalid_argument);
}

}  // namespace unit_gaussians_test
