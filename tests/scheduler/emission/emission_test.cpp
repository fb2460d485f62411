#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "model/receiver/line_placement.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/emission/clear_frequencies.hpp"
#include "scheduler/emission/emission_output.hpp"
#include "scheduler/emission/ground_field.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/setup/safety_figure.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace emission_test {

using namespace ampturn;

plan::Plan quick_with(const std::string& emission) {
    const std::string path = test::source_path("demo/quick.toml");
    return plan::file::parse_plan(test::read_whole_file(path) + emission, path, {});
}

emission::SweepEmission emission_of(const plan::Plan& plan) {
    return emission::emission_of(plan, setup::sweep_setup_of(plan));
}

TEST(SweepEmission, FieldsFollowFromTheMoment) {
    const auto found = emission_of(quick_with(""));
    ASSERT_EQ(found.steps.size(), 8u);
    EXPECT_TRUE(found.verdicts.empty());
    for (const auto& step : found.steps)
        for (const auto& f : step.at) {
            const double m = step.line.moment_a_m2_rms[0] + step.line.moment_a_m2_rms[1];
            // Closed form: the static dipole's axis; the largest kr, 0.16 at 300 m and 25 kHz, adds 1.3 %.
            EXPECT_NEAR(f.free_h_a_per_m / (m / (2 * M_PI * std::pow(f.distance_m, 3))), 1, 0.014);
        }
}

TEST(SweepEmission, WhatIsPrintedIsTheClosedFormRoundedUp) {
    // Closed form: near a magnetic dipole, kr < 2.35, the worst direction is its axis, m/(2 pi r^3) sqrt(1 + (kr)^2)
    // (Balanis, Antenna Theory (1997), sec. 5.2, from memory). Definition: never less is printed, and a tenth of a decibel or a
    // unit of the third digit more at most. A ground that hardly conducts adds nothing to free space near by.
    const std::string path = test::source_path("demo/quick.toml");
    const auto found =
        emission_of(plan::file::load_plan(path, {{"earth.resistivity_ohm_m", "[100000, 100000]"}}));
    std::istringstream lines(emission::emission_text(found, false));
    std::size_t read = 0;
    for (std::string line; std::getline(lines, line) && read < found.steps.size();) {
        std::istringstream words(line);
        std::string name;
        double hz = 0;
        if (!(words >> name >> hz)) continue;
        const emission::Line& sent = found.steps[read++].line;
        const double m = sent.moment_a_m2_rms[0] + sent.moment_a_m2_rms[1];
        for (const double r : {10.0, 30.0, 300.0}) {
            const double kr = 2 * M_PI * sent.frequency_hz / 299792458.0 * r;
            const double h = m / (2 * M_PI * r * r * r) * std::sqrt(1 + kr * kr);
            double told = 0, told_db = 0;
            std::string ground;
            ASSERT_TRUE(words >> told >> told_db >> ground) << line;
            EXPECT_GE(told, h * (1 - 1e-9)) << line;
            EXPECT_LE(told, h * 1.01001) << line;
            EXPECT_GE(told_db, 20 * std::log10(h / 1e-6) - 1e-6) << line;
            EXPECT_LE(told_db, 20 * std::log10(h / 1e-6) + 0.1001) << line;
        }
    }
    EXPECT_EQ(read, 8u) << "definition: four frequencies on two loops";
}

TEST(SafetyFigure, SignificantDigitsNeverGoDown) {
    // Definition: the next figure of so many digits that is not less.
    EXPECT_EQ(setup::safety_significant_text(0.12341, 3), "0.124");
    EXPECT_EQ(setup::safety_significant_text(0.123, 3), "0.123");
    EXPECT_EQ(setup::safety_significant_text(9.991, 3), "10.0");
    EXPECT_EQ(setup::safety_significant_text(12301, 3), "12400");
    EXPECT_EQ(setup::safety_significant_text(0, 3), base::significant(0, 3));
}

TEST(GroundField, AGroundThatDoesNotConductIsNotThere) {
    const std::string path = test::source_path("demo/quick.toml");
    const auto found =
        emission_of(plan::file::load_plan(path, {{"earth.resistivity_ohm_m", "[100000, 100000]"}}));
    for (const auto& step : found.steps)
        for (const auto& f : step.at) {
            if (f.distance_m > 30) continue;  // 300 m are a third of a skin depth at 25 kHz
            // Closed form: a static dipole m at height h, seen along its axis from the ground, R^2 = d^2 + h^2:
            // m/(4 pi R^3) sqrt(1 + 3 d^2/R^2). (d/skin depth)^2 is at most 1e-3.
            const double m = step.line.moment_a_m2_rms[0] + step.line.moment_a_m2_rms[1];
            const double d = f.distance_m, r = std::hypot(d, 3.5);
            ASSERT_TRUE(f.ground_h_a_per_m);
            EXPECT_NEAR(
                *f.ground_h_a_per_m / (m / (4 * M_PI * r * r * r) * std::sqrt(1 + 3 * d * d / (r * r))), 1,
                5e-3);
        }
}

TEST(GroundField, HasNoNumberBeyondWhatWasComputed) {
    const plan::Plan plan = plan::file::load_plan(test::source_path("demo/quick.toml"));
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    emission::GroundField field(
        setup.earth, {setup.transmitter.design.loop_a, *setup.transmitter.design.loop_b}, {30, 300});
    EXPECT_TRUE(field.h_a_per_m(0, 1000, 300));
    EXPECT_FALSE(field.h_a_per_m(0, 1000, 100)) << "a distance that was not asked for";
    EXPECT_FALSE(field.h_a_per_m(0, 0.9, 300));
    EXPECT_FALSE(field.h_a_per_m(0, 1.1e6, 300));
}

TEST(SweepEmission, ALimitAtADistanceOfItsOwnIsHeldThere) {
    // Law: near by a dipole's field falls with the cube: from 20 m to 40 m by 18.06 dB.
    const auto at = [](const char* distance) {
        return emission_of(
                   quick_with(
                       std::string(
                           "\n[emission]\n[[emission.limit]]\nname = \"h\"\nlow_hz = 900\nhigh_hz = 1000\ndistance_m = ") +
                       distance + "\nh_dbua_per_m = 60\n"))
            .verdicts.at(0)
            .worst.value();
    };
    const auto near = at("20"), far = at("40");
    EXPECT_EQ(near.field.distance_m, 20) << "definition";
    EXPECT_NEAR(near.field.free_h_a_per_m / far.field.free_h_a_per_m, 8, 0.02) << "closed form";
}

TEST(SweepEmission, OwnLimitsAreHeldAgainstTheWorstLine) {
    const auto found = emission_of(quick_with(
        "\n[emission]\n[[emission.limit]]\nname = \"h\"\nlow_hz = 900\nhigh_hz = 1000\ndistance_m = 10\nh_dbua_per_m = 60\n"
        "[[emission.limit]]\nname = \"e\"\nlow_hz = 900\nhigh_hz = 1000\ndistance_m = 10\ne_dbuv_per_m = 60\n"
        "[[emission.limit]]\nname = \"none\"\nlow_hz = 1\nhigh_hz = 2\ndistance_m = 10\nh_dbua_per_m = 60\n"));
    ASSERT_EQ(found.verdicts.size(), 3u);
    const auto& h = found.verdicts[0].worst.value();
    // Definition: decibels over the limit are those of the strength less its 60.
    EXPECT_NEAR(h.excess_db(), model::emission::db_of_micro(h.field.largest_h_a_per_m()) - 60, 1e-9);
    // Definition: a loop's reading times 376.73 ohm, 51.52 dB, is larger than the near electric field.
    EXPECT_NEAR(found.verdicts[1].worst->excess_db() - h.excess_db(), 51.5204, 1e-3);
    EXPECT_FALSE(found.verdicts[2].worst) << "definition: no line there, no number";
    EXPECT_EQ(emission::verdict_sentences(found).size(), 2u);
}

TEST(SweepEmission, VerdictsAreRemarksThatSendToTheAuthority) {
    const plan::Plan plan =
        quick_with("\n[emission]\nlimit_tables = [\"erc_rec_70_03_annex_9\", \"cfr_47_15_209\"]\n");
    const auto found = emission_of(plan);
    std::vector<plan::Remark> remarks;  // others are on harmonics in the band of a service
    for (const plan::Remark& r : emission::emission_remarks(plan, found))
        if (r.key == "emission.limit_tables") remarks.push_back(r);
    for (const auto& r : remarks) {
        EXPECT_NE(r.text.find("ask the licensing authority"), std::string::npos) << r.text;
    }
    // Definition: a limit that was not read says so; the worst of annex 9 lies above 148.5 kHz, of 47 CFR below 490 kHz.
    ASSERT_EQ(remarks.size(), 2u);
    EXPECT_NE(remarks[0].text.find("annex 9, from memory"), std::string::npos) << remarks[0].text;
    EXPECT_NE(remarks[1].text.find("15.209(a), read"), std::string::npos) << remarks[1].text;
}

TEST(GroundField, TheWorstDirectionOfAQuadratic) {
    // Closed form: 1 + c - c^2 has 1.25 at c = 0.5; 1 + 3 c + c^2 has its largest at the end.
    EXPECT_NEAR(emission::largest_of_quadratic(1, 1, -1), 1.25, 1e-12);
    EXPECT_NEAR(emission::largest_of_quadratic(5, 1, -1), 5, 1e-12);
}

TEST(AvoidedServices, ProposalsKeepClearOfThem) {
    const plan::Plan plan = quick_with("\n[emission]\n");
    const auto rules = plan::placement_rules_of(plan);
    ASSERT_FALSE(rules.services.empty());
    int found = 0;
    for (const auto& p : model::receiver::propose_frequencies(rules, 15000, 30000, 12)) {
        if (!p.divisor) continue;
        ++found;
        for (const auto& s : rules.services)
            EXPECT_FALSE(p.frequency_hz >= s.low_hz && p.frequency_hz <= s.high_hz) << p.frequency_hz;
    }
    EXPECT_GT(found, 4);
    EXPECT_TRUE(plan::placement_rules_of(quick_with("")).services.empty());
    EXPECT_EQ(
        plan::placement_rules_of(quick_with("\n[emission]\nbuilt_in_services = false\n[[emission.service]]\n"
                                            "name = \"x\"\nlow_hz = 1\nhigh_hz = 2\n"))
            .services.size(),
        1u);
}

// 975 Hz of the quick demo has its 3rd harmonic at 2925 Hz, in the band of this service.
const std::string limit =
    "[[emission.limit]]\nname = \"own\"\nlow_hz = 1\nhigh_hz = 1e6\ndistance_m = 30\nh_dbua_per_m = -60\n";
const std::string service = "[[emission.service]]\nname = \"ours\"\nlow_hz = 2910\nhigh_hz = 2940\n";
const std::string own_services = "\n[emission]\nbuilt_in_services = false\n";

bool says(const model::receiver::PlacementVerdict& verdict, int order) {
    for (const auto& r : verdict.remarks)
        if (r.fault == model::receiver::PlacementFault::service && r.order == order) return true;
    return false;
}

TEST(ClearFrequencies, AHarmonicAboveALimitInTheBandOfAServiceSpoilsItsLine) {
    const plan::Plan plan = quick_with(own_services + limit + service);
    const auto verdicts = emission::judge_frequencies(plan);
    ASSERT_EQ(verdicts.size(), 4u);
    EXPECT_TRUE(says(verdicts[0], 3));
    ASSERT_TRUE(verdicts[0].alternative_hz);
    // Definition: none of its odd harmonics lies in the band.
    for (int order = 1; order <= 25; order += 2) {
        const double f = order * *verdicts[0].alternative_hz;
        EXPECT_FALSE(f >= 2910 && f <= 2940) << order;
    }
    const auto remarks = emission::emission_remarks(plan, emission_of(plan));
    EXPECT_TRUE(std::any_of(remarks.begin(), remarks.end(), [](const plan::Remark& r) {
        return r.text.find("harmonic 3 of step") == 0 && r.text.find("\"ours\"") != std::string::npos;
    }));
    EXPECT_NE(emission::what_is_kept_clear(plan).find("odd harmonics"), std::string::npos);
}

TEST(ClearFrequencies, WithoutALimitOrBelowItHarmonicsAreNotJudgedAndItIsSaid) {
    const plan::Plan none = quick_with(own_services + service);
    EXPECT_FALSE(says(emission::judge_frequencies(none)[0], 3));
    EXPECT_NE(emission::what_is_kept_clear(none).find("the frequencies alone"), std::string::npos);
    std::string high = limit;
    high.replace(high.find("-60"), 3, "150");
    EXPECT_FALSE(says(emission::judge_frequencies(quick_with(own_services + high + service))[0], 3));
    EXPECT_EQ(emission::what_is_kept_clear(quick_with("")), "");
}

TEST(ClearFrequencies, ProposalsWereTriedOnTheTransmitter) {
    plan::Plan plan = quick_with(own_services + limit + service);
    const auto in_band = [](const std::vector<model::receiver::ProposedFrequency>& lines) {
        return std::count_if(lines.begin(), lines.end(), [](const auto& p) {
            return p.divisor && 3 * p.frequency_hz >= 2910 && 3 * p.frequency_hz <= 2940;
        });
    };
    // Definition: fundamentals alone would have one in 970 to 980 Hz; with harmonics there is none.
    EXPECT_GT(in_band(model::receiver::propose_frequencies(plan::placement_rules_of(plan), 930, 1020, 5)), 0);
    const auto proposed = emission::propose_clear_frequencies(plan, 930, 1020, 5);
    EXPECT_EQ(in_band(proposed.lines), 0);
    // Definition: a sweep of what was proposed has no harmonic above a limit in the band.
    const std::vector<plan::Step> steps = plan.sweep.steps;
    plan.sweep.steps.clear();
    for (const auto& p : proposed.lines) {
        if (!p.divisor) continue;
        plan.sweep.steps.push_back(steps.front());
        plan.sweep.steps.back().frequency_hz = p.frequency_hz;
    }
    ASSERT_GT(plan.sweep.steps.size(), 2u);
    EXPECT_TRUE(emission_of(plan).harmonics.empty());
}

void expect_refused(const std::string& emission, const std::string& key, const std::string& words) {
    try {
        (void)quick_with(emission);
        ADD_FAILURE() << "taken: " << emission;
    } catch (const base::InputError& e) {
        EXPECT_NE(std::string(e.what()).find(key), std::string::npos) << e.what();
        EXPECT_NE(std::string(e.what()).find(words), std::string::npos) << e.what();
    }
}

TEST(EmissionKeys, BadInputIsSaidAtItsKey) {
    const std::string own = "\n[emission]\n[[emission.limit]]\nname = \"x\"\n";
    expect_refused(own + "low_hz = 1\nhigh_hz = 2\nh_dbua_per_m = 1\n", "emission.limit[1].distance_m",
                   "required");
    expect_refused(own + "low_hz = 3\nhigh_hz = 2\ndistance_m = 10\nh_dbua_per_m = 1\n",
                   "emission.limit[1].high_hz", "at least low_hz, 3 Hz");
    expect_refused(own + "low_hz = 1\nhigh_hz = 2\ndistance_m = 10\n", "emission.limit[1].h_dbua_per_m",
                   "one of");
    expect_refused(own + "low_hz = 1\nhigh_hz = 2\ndistance_m = 2\nh_dbua_per_m = 1\n",
                   "emission.limit[1].distance_m", "the loop reaches");
    expect_refused("\n[emission]\nlimit_tables = [\"annex_9\"]\n", "emission.limit_tables[1]",
                   "erc_rec_70_03_annex_9");
    expect_refused("\n[emission]\n[[emission.service]]\nname = \"x\"\nlow_hz = 9\nhigh_hz = 8\n",
                   "emission.service[1].high_hz", "at least low_hz, 9 Hz");
}

}  // namespace emission_test
