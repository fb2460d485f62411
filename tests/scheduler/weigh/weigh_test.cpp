#include "scheduler/weigh/weigh.hpp"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <tuple>
#include <vector>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/weigh/choices_file.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::weigh {
namespace weigh_test {

using testing::HasSubstr;

const std::string quick = test::source_path("demo/quick.toml");
const std::string parts_text = test::read_whole_file(test::source_path("demo/parts.toml"));
plan::Plan quick_plan() { return plan::file::load_plan(quick); }

using Triple = std::tuple<double, double, double>;  // moment, kg, Wh
Triple triple(const Worth& w) { return {w.moment_a_m2, w.weight_kg, w.watt_hours}; }

std::string refusal(const std::string& text) {
    try {
        const plan::Plan plan = quick_plan();
        weigh(plan, parse_choices(text, "parts.toml"), {.threads = 2});
    } catch (const base::InputError& refused) {
        return refused.what();
    }
    return "nothing refused";
}

// Every tap, capacitor and bank of every sender run as a plan of its own through the transmitter's sheet, then every pair
// compared: independent of the search and of its front.
TEST(Weigh, FrontIsThatOfBruteForce) {
    const plan::Plan plan = quick_plan();
    const std::string text =
        "[search]\nfrequencies_hz = [975, 8525]\nbank_positions = 1\nin_parallel_max = 1\n"
        "[loop]\nside_m = [4, 6]\n[[winding]]\nturns = 3\ntaps = [1]\n[[winding]]\nturns = 5\n"
        "[[battery]]\nchemistry = \"lifepo4\"\ncapacity_ah = 20\nin_series = 2\n"
        "[[battery]]\nchemistry = \"agm\"\ncapacity_ah = 26\nin_series = 2\n"
        "[[capacitor]]\nname = \"c\"\ncapacitance_f = 1e-6\nrated_v_peak = 600\nkg = 0.2\ncount = 2\n";
    const Choices choices = parse_choices(text, "parts.toml");
    const Weighed weighed = weigh(plan, choices, {.threads = 2});
    EXPECT_TRUE(weighed.exhaustive());
    ASSERT_EQ(weighed.joined.size(), 2u) << "definition: one, or two in series";
    ASSERT_EQ(weighed.designs, 2u * 2 * 2 * 3);

    std::vector<Worth> all;
    for (const Sender& sender : senders_of(choices))
        for (const Bank& bank : std::vector<Bank>{{}, {0}, {1}}) {
            plan::Plan p = plan_of(plan, choices, Design{.sender = sender, .bank = bank}, weighed.joined);
            double least = 1e300, watts = 0, kg = 0.2 * (bank.empty() ? 0 : bank[0] + 1);
            for (const CarriedPiece& piece : pieces_of(p, choices, sender)) kg += piece.kg * piece.count;
            // The most of each step by the sheet's own search, in whole milliamperes, then the sheet again.
            const transmitter::TransmitterSheet most =
                transmitter::transmitter_sheet_of(read_again(p), false);
            for (std::size_t i = 0; i < p.sweep.steps.size(); ++i) {
                const transmitter::TransmitterPoint& best = most.rows[i].best;
                p.sweep.steps[i].turns_in_use = best.turns;
                p.sweep.steps[i].capacitor = best.capacitor;
                p.sweep.steps[i].current_a_peak =
                    std::floor(1000 * best.point.current.fundamental_peak_a) / 1000;
            }
            const transmitter::TransmitterSheet held =
                transmitter::transmitter_sheet_of(read_again(p), false);
            for (const transmitter::TransmitterRow& row : held.rows) {
                least = std::min(least, row.chosen.point.moment_peak_a_m2);
                watts += row.chosen.point.power.battery_w / static_cast<double>(held.rows.size());
            }
            all.push_back(to_nine_digits({least, kg, watts}));
        }
    std::vector<Triple> expected, found;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const bool beaten =
            std::any_of(all.begin(), all.end(), [&](const Worth& w) { return dominates(w, all[i]); });
        if (!beaten) expected.push_back(triple(all[i]));
    }
    for (const FrontPoint& p : weighed.front) found.push_back(triple(p.design.worth));
    std::sort(expected.begin(), expected.end());
    expected.erase(std::unique(expected.begin(), expected.end()), expected.end());
    std::sort(found.begin(), found.end());
    EXPECT_GT(found.size(), 3u);
    EXPECT_EQ(found, expected);
}

TEST(Weigh, EveryPointIsAPlanThatGivesItsNumbersOnAnyThreads) {
    const plan::Plan plan = quick_plan();
    const Choices choices = parse_choices(parts_text, "parts.toml");
    const Weighed one = weigh(plan, choices, {.threads = 1}), two = weigh(plan, choices, {.threads = 2});
    ASSERT_EQ(one.front.size(), two.front.size());
    ASSERT_GT(one.front.size(), 5u);
    for (std::size_t i = 0; i < one.front.size(); ++i) {
        const FrontPoint& p = one.front[i];
        EXPECT_EQ(triple(p.design.worth), triple(two.front[i].design.worth));
        double least = 1e300;
        for (const auto& row : p.sheet.rows) least = std::min(least, row.chosen.point.moment_peak_a_m2);
        EXPECT_NEAR(least, p.design.worth.moment_a_m2, 1e-8 * least)
            << "identity: nine digits of the sheet's worst";
        EXPECT_NEAR(weight_kg(p.pieces), p.design.worth.weight_kg, 1e-8 * p.design.worth.weight_kg)
            << "identity";
        EXPECT_LE(p.sheet.keep_out.loop_to_ground_v_rms, 600 * (1 + 1e-9)) << "definition: wire.rated_v_rms";
        EXPECT_LE(p.design.worth.weight_kg, 60);
    }
}

TEST(Weigh, ItSaysWhenItLeavesCapacitorsOut) {
    const Weighed cut =
        weigh(quick_plan(),
              parse_choices("[search]\nbanks_max = 10\n" + parts_text.substr(parts_text.find("[limits]")),
                            "parts.toml"),
              {});
    EXPECT_FALSE(cut.exhaustive());
    EXPECT_EQ(cut.senders_cut, cut.senders);
}

// Identity: of random points the front keeps those that no pair comparison refuses.
TEST(Front, IsWhatPairsSay) {
    std::vector<Worth> all;
    unsigned state = 1;
    const auto next = [&] { return static_cast<double>((state = state * 1103515245u + 12345u) >> 28); };
    for (int i = 0; i < 400; ++i) {
        const double moment = next(), kg = next(), wh = next();
        all.push_back({moment, kg, wh});
    }
    std::vector<std::size_t> expected;
    for (std::size_t i = 0; i < all.size(); ++i) {
        bool keep = true;
        for (std::size_t j = 0; j < all.size(); ++j)
            keep = keep && !dominates(all[j], all[i]) && !(j < i && triple(all[j]) == triple(all[i]));
        if (keep) expected.push_back(i);
    }
    EXPECT_EQ(front_of(all), expected);
}

TEST(Load, WeightsAndLoads) {
    // Closed form: 1 mm2 of copper is 8.89 g a metre; with a sleeve of 1 mm, pi (r + 1)^2 - 1 mm2 at 1.4 g/cm3.
    const double r_mm = std::sqrt(1 / std::numbers::pi);
    const double sleeve_mm2 = std::numbers::pi * (r_mm + 1) * (r_mm + 1) - 1;
    EXPECT_NEAR(wire_kg_per_m({.area_mm2 = 1, .insulation_thickness_mm = 1}), 8.89e-3 + 1.4e-3 * sleeve_mm2,
                1e-12);
    const BatteryChoice battery{.chemistry = plan::Chemistry::lifepo4, .capacity_ah = 20};
    EXPECT_NEAR(battery_watt_hours(battery), 256, 1e-9) << "closed form: 20 Ah x 4 x 3.2 V";
    EXPECT_NEAR(battery_kg(battery), 2.56, 1e-9) << "common practice: 100 Wh/kg";
    EXPECT_EQ(loads_of({{"a", 12, 2}, {"b", 8, 2}}, 20), 2);
    EXPECT_EQ(loads_of({{"a", 45, 1}, {"b", 8, 1}}, 20), 4) << "definition: 45 kg is three loads by itself";
    EXPECT_THAT(lifting_cautions({{"case", 45, 1}}, 20), testing::ElementsAre(HasSubstr("3 persons")));
    EXPECT_TRUE(lifting_cautions({{"case", 12, 3}}, 20).empty());
}

TEST(Load, TransportClasses) {
    BatteryChoice battery{.chemistry = plan::Chemistry::lead_acid_flooded, .capacity_ah = 60};
    EXPECT_EQ(transport_class(battery).un_number, 2794);
    battery.chemistry = plan::Chemistry::agm;
    EXPECT_EQ(transport_class(battery).un_number, 2800);
    battery.chemistry = plan::Chemistry::lifepo4;
    EXPECT_EQ(transport_class(battery).un_number, 3481);
    battery.packed = Packed::alone;
    EXPECT_EQ(transport_class(battery).un_number, 3480);
    EXPECT_THAT(transport_class(battery).text(),
                testing::AllOf(HasSubstr("768 Wh each"), HasSubstr("ask the carrier")));
}

TEST(Stock, SeriesVoltsAndBanks) {
    EXPECT_NEAR(rated_in_series_v_peak(100, 3, 0), 300, 1e-9) << "closed form: like capacitors share alike";
    // Closed form: charges are equal, so volts go as 1/C: 0.9 C beside 1.1 C carries 1.1/2.0 of them.
    EXPECT_NEAR(rated_in_series_v_peak(110, 2, 0.1), 200, 1e-9);
    const std::vector<StockCapacitor> stock{{"c", 1e-6, 600, 0.2, 3}};
    const auto joined = joined_capacitors(stock, {}, 0, {});
    ASSERT_EQ(joined.size(), 3u) << "definition: 1s1p, 1s2p, 2s1p; four are not in stock";
    const auto banks = banks_of(stock, joined, {0, 1, 2}, 2, 100);
    ASSERT_TRUE(banks);
    EXPECT_EQ(*banks, (std::vector<Bank>{{}, {0}, {0, 1}, {0, 2}, {1}, {2}}))
        << "definition: {1, 2} needs four parts";
    EXPECT_FALSE(banks_of(stock, joined, {0, 1, 2}, 2, 5));
}

TEST(WeighRefuses, WithOneClearLine) {
    EXPECT_THAT(refusal("capacitor = []\n"), HasSubstr("parts.toml:1:13: capacitor: found "));
    EXPECT_THAT(
        refusal("[limits]\nwieght_kg = 3\n"),
        HasSubstr("parts.toml:2:1: limits.wieght_kg: found an unknown key, allowed the nearest known key "
                  "\"limits.weight_kg\""));
    EXPECT_THAT(refusal("[[piece]]\nname = \"mast\"\nkg = -5\n"),
                HasSubstr("parts.toml:3:6: piece[1].kg: found -5"));
    EXPECT_THAT(refusal("[limits]\nweight_kg = 1\n"),
                testing::AllOf(HasSubstr("limits: found no sender left of 1: 1 by weight"),
                               HasSubstr("most are stopped by weight (limits.weight_kg)")));
    EXPECT_THAT(refusal("[limits]\nleast_moment_a_m2 = 1e8\n"), HasSubstr("most are stopped by moment"));
    EXPECT_THAT(refusal("[search]\nsending_h = 900\n"), HasSubstr("most are stopped by energy"));
    EXPECT_THAT(refusal("[[wire]]\narea_mm2 = 4\nrated_v_rms = 1\n"),
                HasSubstr("most are stopped by volts of the insulation"));
    EXPECT_THAT(refusal("[driver]\nbus_v = [48]\n"), HasSubstr("driver.supply = \"dc_dc\""));
    EXPECT_THAT(refusal("[[winding]]\nturns = 2\ntaps = [3]\n"),
                HasSubstr("parts.toml:1:1: winding[1]: found a plan with loop.a.taps[1] 3"));
}

// Definition: the manual's tables are the keys' own.
TEST(Choices, TheManualHasEveryKey) {
    const std::string manual = test::read_whole_file(test::source_path("docs/transmitter.md"));
    const std::string keys = choices_markdown();
    EXPECT_TRUE(manual.find(keys) != std::string::npos) << keys;
}

TEST(Weigh, ProgramWritesAPlanThatTheTransmitterTakes) {
    const std::string program = test::program_path("ampturn");
    const test::ScratchDirectory scratch;
    const std::string out = scratch.file("out");
    const auto r =
        test::run_program(program, {"weigh", quick, test::source_path("demo/parts.toml"), "--out", out});
    ASSERT_EQ(r.exit_code, 0) << r.err;
    EXPECT_THAT(r.out, testing::AllOf(HasSubstr("exhaustive"), HasSubstr("V peak at the loop's ends"),
                                      HasSubstr("UN 3481")));
    EXPECT_EQ(test::run_program(program, {"transmitter", out + "/weigh.toml"}).exit_code, 0);
    EXPECT_EQ(
        test::run_program(program, {"weigh", quick, test::source_path("demo/parts.toml"), "--choose", "999"})
            .exit_code,
        2);
}

}  // namespace weigh_test
}  // namespace ampturn::weigh
