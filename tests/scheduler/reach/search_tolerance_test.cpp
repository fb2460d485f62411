// Searches ask the field engine for 1e-5: no verdict of 500 random plans is another one at a thousandth of it. And a place judged
// in one go is judged as the parts say.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/reach/reach.hpp"
#include "scheduler/reach/site_search.hpp"
#include "scheduler/reading/place_reading.hpp"
#include "scheduler/reading/reading_quality.hpp"

namespace ampturn::reach {
namespace search_tolerance_test {

class RandomPlans {
  public:
    double between(double low, double high) {
        return low + (high - low) * std::ldexp(double(random_()), -32);
    }
    double log_between(double low, double high) { return low * std::pow(high / low, between(0, 1)); }

    plan::Plan next() {
        const int layers = 1 + static_cast<int>(between(0, 3));
        std::string resistivity, thickness, stations;
        for (int i = 0; i < layers; ++i) {
            resistivity += fmt::format("{}{:.4g}", i == 0 ? "" : ", ", log_between(3, 5000));
            if (i > 0) thickness += fmt::format("{}{:.4g}", i == 1 ? "" : ", ", log_between(5, 300));
        }
        for (int i = 0; i < 8; ++i)
            stations += fmt::format("[[station]]\nname = \"S{}\"\noffset_m = {:.2f}\nbearing_deg = {:.2f}\n",
                                    i, log_between(40, 3000), between(0, 360));
        const std::string loop = fmt::format(
            "shape = \"square\"\nside_m = 6\nturns = {}\nwire_area_mm2 = 4\nturn_pitch_m = 0.006\ncentre_height_m = "
            "3.5\n",
            1 + static_cast<int>(between(0, 6)));
        return plan::file::parse_plan(
            fmt::format(
                "[survey]\nname = \"random\"\ninvented = true\n[earth]\nresistivity_ohm_m = [{}]\n"
                "thickness_m = [{}]\n[[site]]\nname = \"T\"\nx_m = 0\ny_m = 0\n{}"
                "[loop.a]\n{}azimuth_deg = 0\n[loop.b]\n{}azimuth_deg = 90\n"
                "[driver]\ncurrent_limit_a = 12\n[battery]\nchemistry = \"lifepo4\"\ncapacity_ah = 20\n"
                "cells_series = 4\nin_series = 2\ncut_off_v = 22\n"
                "[sweep]\nname = \"R\"\nfrequencies_hz = [{:.0f}, {:.0f}]\ncurrent_a_peak = 10\ndwell_s = {:.1f}\n"
                "[receiver]\nsample_rate_hz = 102400\nrecord_length = 102400\n"
                "[targets]\nrho_bias_percent = {:.3g}\nrho_error_percent = {:.3g}\n",
                resistivity, thickness, stations, loop, loop, log_between(300, 2500),
                log_between(2600, 30000), log_between(10, 600), between(3, 20), between(3, 20)),
            "random.toml");
    }

  private:
    std::mt19937 random_{115};
};

void expect_same(const std::vector<OffsetInterval>& coarse, const std::vector<OffsetInterval>& fine,
                 const std::string& where) {
    ASSERT_EQ(coarse.size(), fine.size()) << where;
    for (std::size_t i = 0; i < fine.size(); ++i) {
        EXPECT_NEAR(coarse[i].from_m, fine[i].from_m, 2e-3 * fine[i].from_m) << where;
        EXPECT_NEAR(coarse[i].to_m, fine[i].to_m, 2e-3 * fine[i].to_m) << where;
    }
}

TEST(SearchTolerance, ChangesNoVerdictOfFiveHundredPlans) {
    RandomPlans plans;
    int in_window = 0, windows = 0;
    for (int n = 0; n < 500; ++n) {
        const plan::Plan plan = plans.next();
        ReachOptions options;
        options.offset_max_m = 4000;
        const Reach coarse = reach_of(plan, options);
        options.field_tolerance_rel = 1e-8;
        const Reach fine = reach_of(plan, options);
        for (std::size_t f = 0; f < fine.frequencies.size(); ++f) {
            const std::string where = fmt::format("plan {}, {} Hz", n, fine.frequencies[f].frequency_hz);
            for (std::size_t s = 0; s < fine.sectors.size(); ++s) {
                const ReachCell &a = coarse.frequencies[f].sectors[s], &b = fine.frequencies[f].sectors[s];
                expect_same(a.far_field, b.far_field, where);
                expect_same(a.sufficient_snr, b.sufficient_snr, where);
                expect_same(a.usable, b.usable, where);
                windows += !b.usable.empty();
            }
        }
        for (std::size_t s = 0; s < fine.stations.size(); ++s) {
            EXPECT_EQ(coarse.stations[s].in_window, fine.stations[s].in_window) << "plan " << n;
            for (const bool in : fine.stations[s].in_window) in_window += in;
        }
        if (n % 10 != 0) continue;
        SiteSearchOptions search;
        const auto candidates = grid_candidates(plan, 700, 500);
        const SiteSearch rough = search_site(plan, candidates, search);
        search.field_tolerance_rel = 1e-8;
        const SiteSearch exact = search_site(plan, candidates, search);
        for (std::size_t c = 0; c < exact.candidates.size(); ++c) {
            EXPECT_EQ(rough.candidates[c].name, exact.candidates[c].name) << "plan " << n;
            EXPECT_EQ(rough.candidates[c].usable_count, exact.candidates[c].usable_count) << "plan " << n;
            EXPECT_EQ(rough.candidates[c].far_field_count, exact.candidates[c].far_field_count);
            EXPECT_EQ(rough.candidates[c].sufficient_snr_count, exact.candidates[c].sufficient_snr_count);
        }
    }
    // The plans were worth asking.
    EXPECT_GT(windows, 500);
    EXPECT_GT(in_window, 300);
}

TEST(PlaceReading, IsWhatThePartsSay) {
    // Identity: the ratios of reading_quality.hpp, for fields, noise, moments and sensors by chance.
    std::mt19937 random(7);
    const auto between = [&](double low, double high) {
        return low + (high - low) * std::ldexp(double(random()), -32);
    };
    const auto number = [&] { return std::complex<double>(between(-1, 1), between(-1, 1)); };
    for (int n = 0; n < 2000; ++n) {
        const auto fields = [&] {
            return reading::FieldPerMoment{
                .horizontal = {1e-9 * number(), 1e-9 * number(), 1e-11 * number(), 1e-11 * number()},
                .hz_a_per_m = 1e-11 * number()};
        };
        reading::ReadingInput input{.frequency_hz = 1000,
                                    .a = fields(),
                                    .b = fields(),
                                    .sent_a = {between(100, 1000), between(5, 50)},
                                    .sent_b = {between(100, 1000), n % 7 == 0 ? 0 : between(5, 50)},
                                    .noise = {},
                                    .plane_impedance_ohm = 100.0 * number()};
        input.noise.e = {.natural = 1e-15 * between(0, 1), .mains = 1e-15 * between(0, 1), .sensor = 1e-15};
        input.noise.h = {.natural = 1e-20 * between(0, 1), .mains = 1e-20 * between(0, 1), .sensor = 1e-20};
        input.window_enbw_bins = between(1, 2);
        input.wire_response = number();
        input.sensors = {
            .gain_rel = between(0, 0.01), .azimuth_rad = between(0, 0.01), .level_rad = between(0, 0.02)};
        if (n % 11 == 0) input.no_record = reading::NoRecord::clipped;
        plan::Targets targets;
        targets.rho_error_percent = between(1, 10);
        targets.phase_error_deg = between(1, 10);
        if (n % 3 == 0)
            targets.elements = {plan::Element::xx, plan::Element::xy, plan::Element::yx, plan::Element::yy};
        const reading::PlaceTargets judged(targets, input.plane_impedance_ohm);
        const reading::PlaceReading here(input, judged);
        const auto tensor = reading::read_tensor_if_any(input);
        const auto same = [](double a, double b) {
            if (std::isinf(b))
                EXPECT_TRUE(std::isinf(a));
            else
                EXPECT_NEAR(a, b, 1e-11 * b);
        };
        same(here.bias_ratio(), reading::bias_ratio(tensor, targets));
        same(here.error_ratio(input.noise), reading::error_ratio(tensor, targets));
        same(here.needed_moment_factor(input.noise), reading::needed_moment_factor(input, targets));
    }
    // Parallel fields: no tensor.
    reading::ReadingInput parallel{.frequency_hz = 1000,
                                   .a = {.horizontal = {1, 2, 3, 4}, .hz_a_per_m = 0},
                                   .b = {.horizontal = {2, 1, 6, 8}, .hz_a_per_m = 0},
                                   .sent_a = {1, 1},
                                   .sent_b = {1, 1},
                                   .noise = {},
                                   .plane_impedance_ohm = 1};
    const plan::Targets targets;
    const reading::PlaceTargets judged(targets, 1);
    EXPECT_TRUE(std::isinf(reading::PlaceReading(parallel, judged).bias_ratio()));
    EXPECT_TRUE(std::isinf(reading::PlaceReading(parallel, judged).error_ratio({})));
}

}  // namespace search_tolerance_test
}  // namespace ampturn::reach
