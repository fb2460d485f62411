#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/sampling.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"
#include "tests/scheduler/plan/file/problems_of.hpp"

namespace surroundings_test {

using namespace ampturn::base;
using namespace ampturn::plan;
using namespace ampturn::plan::file;
using ampturn::test::problems_of;
using ampturn::test::read_whole_file;
using testing::ElementsAre;
using testing::HasSubstr;

std::string with(const std::string& more) {
    return read_whole_file(ampturn::test::source_path("demo/quick.toml")) + more;
}

// quick.toml with one of everything that differs from place to place.
const std::string surroundings =
    "\n[[ground]]\nname = \"bog\"\nresistivity_ohm_m = [30, 300, 90]\nthickness_m = [5, 20]\n"
    "\n[[ground.polarisable]]\nlayer = 2\nchargeability = 0.2\ntime_constant_s = 0.01\nexponent = 0.4\n"
    "\n[[sensors]]\nname = \"light\"\ncoil = \"miniature\"\ndipole_m = 10\ncontact_resistance_ohm = 9000\n"
    "\n[[power_line]]\nname = \"farm\"\nx_y_m = [[-5000, 400], [5000, 400]]\nmains_b_nt = 2\nat_distance_m = 100\n"
    "fall_off_exponent = 1\n";
const std::vector<Setting> own{{"station[2].ground", "\"bog\""}, {"station[2].sensors", "\"light\""}};

TEST(Surroundings, AreTheStationsOwnElseTheSurveys) {
    const Plan plan = parse_plan(with(surroundings), "plan.toml", own);
    const Station &near = plan.stations[0], &far = plan.stations[1];
    EXPECT_EQ(ground_of(plan, near), plan.earth);
    EXPECT_THAT(ground_of(plan, far).resistivity_ohm_m, ElementsAre(30, 300, 90));
    EXPECT_EQ(ground_of(plan, far).cole_cole[1].key, "ground[1].polarisable[1]");
    EXPECT_EQ(receiver_of(plan, near).dipole_m, plan.receiver.dipole_m);
    EXPECT_EQ(receiver_of(plan, near).coil_floor_pt_per_rthz, 0.012) << "definition: the medium class";
    EXPECT_EQ(receiver_of(plan, far).dipole_m, 10);
    EXPECT_EQ(receiver_of(plan, far).contact_resistance_ohm, 9000);
    EXPECT_EQ(receiver_of(plan, far).coil_floor_pt_per_rthz, 0.35) << "definition: the miniature class";
    EXPECT_EQ(receiver_of(plan, far).sample_rate_hz, plan.receiver.sample_rate_hz);
    const Plan closer = parse_plan(with(surroundings), "plan.toml",
                                   {own[0], own[1], {"station[2].contact_resistance_ohm", "700"}});
    EXPECT_EQ(receiver_of(closer, closer.stations[1]).contact_resistance_ohm, 700)
        << "definition: the nearest to it";
}

TEST(Surroundings, MainsFollowTheDistanceToTheLine) {
    const Plan plan = parse_plan(with(surroundings), "plan.toml");
    for (const Station& station : plan.stations) {
        // Closed form: 1/r, from 2 nT at 100 m, with the survey's 0.1 nT as a sum of squares.
        const double line_nt = 2 * 100 / std::abs(400 - station.place.y_m);
        EXPECT_NEAR(mains_b_nt_of(plan, station), std::sqrt(line_nt * line_nt + 0.01), 1e-12) << station.name;
        EXPECT_NEAR(ampturn::setup::mains_b_t(plan, station), 1e-9 * mains_b_nt_of(plan, station), 1e-24);
    }
    const Plan loud = parse_plan(with(surroundings), "plan.toml", {{"station[1].mains_b_nt", "7"}});
    EXPECT_EQ(mains_b_nt_of(loud, loud.stations[0]), 7) << "definition: its own overrides";
}

TEST(Surroundings, OwnInterferersAreHeardThereAndAvoidedEverywhere) {
    const std::string survey =
        "\n[[noise.interferer]]\nname = \"beacon\"\nfrequency_hz = 2840\nhalf_width_hz = 20\n"
        "b_nt = 0.02\n";
    const std::string fence =
        "\n[[station.interferer]]\nname = \"fence\"\nfrequency_hz = 980\nhalf_width_hz = 20\nb_nt = 0.05\n";
    std::string text = with(survey);
    text.insert(text.find("[loop.a]"), fence.substr(1) + "\n");
    const Plan plan = parse_plan(text, "plan.toml");
    EXPECT_TRUE(plan.stations[0].interferers.empty());
    ASSERT_EQ(interferers_of(plan, plan.stations[1]).size(), 2u);
    EXPECT_EQ(interferers_of(plan, plan.stations[1])[1].name, "fence");
    EXPECT_EQ(placement_rules_of(plan).interferers.size(), 2u);
    // Identity: what one station hears beside the survey's is what all would hear if it stood in [noise].
    std::string everywhere = with(survey + "\n[[noise" + fence.substr(fence.find('.')));
    const Plan all = parse_plan(everywhere, "plan.toml");
    const auto mains = [](const Plan& p, std::size_t s) {
        return ampturn::setup::noise_at_station(p, p.stations[s], 12, 985, 1).h.mains;
    };
    EXPECT_EQ(mains(plan, 1), mains(all, 1));
    EXPECT_GT(mains(plan, 1), mains(plan, 0));
}

TEST(Surroundings, OwnSpectrumIsUsedThereAlone) {
    const ampturn::test::ScratchDirectory scratch;
    scratch.write("own.csv", "frequency_hz,b_pt_per_rthz\n100,0.7\n50000,0.7\n");
    const Plan plan =
        parse_plan(with(""), scratch.file("plan.toml"), {{"station[2].spectrum_csv", "own.csv"}});
    const auto b_pt = [&](std::size_t s) {
        return std::sqrt(ampturn::setup::noise_at_station(plan, plan.stations[s], 12, 2825, 1).h.natural) *
               4e5 * M_PI;
    };
    EXPECT_NEAR(b_pt(1), 0.7, 1e-12) << "definition: the file's";
    const Plan without = parse_plan(with(""), "plan.toml");
    EXPECT_EQ(ampturn::setup::noise_at_station(plan, plan.stations[0], 12, 2825, 1).h.natural,
              ampturn::setup::noise_at_station(without, without.stations[0], 12, 2825, 1).h.natural)
        << "identity: the other station hears the model";
    int gaps = 0;
    for (const Remark& remark : plan_remarks(plan)) gaps += remark.key == "station[2].spectrum_csv";
    EXPECT_EQ(gaps, 4) << "definition: all four frequencies lie between the two points";
}

TEST(Surroundings, AreRemarkedOn) {
    const Plan plan = parse_plan(with(surroundings), "plan.toml", {own[1]});
    std::string all;
    for (const Remark& remark : plan_remarks(plan)) all += remark.key + ": " + remark.text + '\n';
    EXPECT_THAT(all, HasSubstr("ground[1].name: no station stands on \"bog\""));
    EXPECT_THAT(all, testing::Not(HasSubstr("sensors[1]")));
    // Closed form: "far" is 350 sin 40 = 225 m east, 175 m from a line 400 m east, whose 1/r from 2 nT at 100 m is 1.14 nT.
    EXPECT_THAT(all, HasSubstr("power_line[1].name: \"farm\" is nearest to \"far\", 175 m: 1.14 nT there\n"));
}

TEST(Surroundings, AreWrittenAsTheyAreRead) {
    const Plan plan = parse_plan(with(surroundings), "plan.toml", own);
    const Plan again = parse_plan(write_plan(plan), "again.toml");
    EXPECT_EQ(write_plan(again).substr(write_plan(again).find('\n')),
              write_plan(plan).substr(write_plan(plan).find('\n')));
    EXPECT_EQ(ground_of(again, again.stations[1]), ground_of(plan, plan.stations[1]));
    EXPECT_EQ(mains_b_nt_of(again, again.stations[1]), mains_b_nt_of(plan, plan.stations[1]));
}

TEST(Surroundings, WrongOnesAreRefusedInOneLine) {
    struct Row {
        std::string more;
        std::vector<Setting> settings;
        const char *key, *found, *allowed;
    };
    const std::string line =
        "\n[[power_line]]\nname = \"l\"\nmains_b_nt = 1\nat_distance_m = 50\nfall_off_exponent = 1\n";
    const std::string bog = "\n[[ground]]\nname = \"bog\"\nresistivity_ohm_m = [10]\n";
    const std::vector<Row> rows{
        {surroundings,
         {{"station[1].ground", "\"bogg\""}},
         "station[1].ground",
         "\"bogg\"",
         "for example \"bog\""},
        {"", {{"station[1].ground", "\"bog\""}}, "station[1].ground", "\"bog\"", "the plan has none"},
        {surroundings + bog, {}, "ground[2].name", "\"bog\" again", "each name once"},
        {"\n[[ground]]\nname = \"two\"\nresistivity_ohm_m = [10, 20]\n",
         {},
         "ground[1].thickness_m",
         "0 entries",
         "1: one fewer"},
        {surroundings, {{"station[2].sensors", "\"heavy\""}}, "station[2].sensors", "\"heavy\"", "\"light\""},
        {"\n[[sensors]]\nname = \"s\"\n\n[[sensors]]\nname = \"s\"\n",
         {},
         "sensors[2].name",
         "again",
         "once"},
        {"\n[[sensors]]\nname = \"s\"\ncoil = \"custom\"\n",
         {},
         "sensors[1].coil_floor_pt_per_rthz",
         "nothing",
         "above 0"},
        {"\n[[sensors]]\nname = \"s\"\ncoil_a_pt = 3\n", {}, "sensors[1].coil", "alone", "custom"},
        {line + "x_y_m = [[0, 400]]\n", {}, "power_line[1].x_y_m", "a list of 1", "2 to 1000"},
        {line, {}, "power_line[1]", "no course", "x_y_m"},
        {line + "x_y_m = [[0, 400], [9, 400]]\nlongitude_latitude_deg = [[8, 47], [8, 48]]\n",
         {},
         "power_line[1]",
         "two courses",
         "x_y_m"},
        {line + "longitude_latitude_deg = [[8, 47], [8, 48]]\n",
         {},
         "power_line[1]",
         "another kind",
         "x_y_m"},
        {line + "x_y_m = [[0, 400], [0, 400]]\n",
         {},
         "power_line[1].x_y_m[2]",
         "the point before",
         "another"},
        {line + "x_y_m = [[0, 400], [200000, 200000]]\n", {}, "power_line[1].x_y_m[2]", "283 km", "200 km"},
        {line + "x_y_m = [[-900, 230], [900, 230]]\n",
         {},
         "station[2]",
         "m from power line \"l\"",
         "at least 10 m"},
        {line + "x_y_m = [[-900, 400], [900, 400]]\n" + line + "x_y_m = [[-900, 500], [900, 500]]\n",
         {},
         "power_line[2].name",
         "again",
         "once"},
        {"",
         {{"station[1].spectrum_csv", "gone.csv"}},
         "station[1].spectrum_csv",
         "\"gone.csv\", which is not there",
         "beside the plan"},
        {"",
         {{"noise.spectrum_csv", "gone.csv"}},
         "noise.spectrum_csv",
         "which is not there",
         "beside the plan"},
    };
    for (const Row& row : rows) {
        const auto problems = problems_of(with(row.more), row.settings);
        ASSERT_EQ(problems.size(), 1u) << row.key << ' ' << row.found;
        EXPECT_EQ(problems[0].key, row.key);
        EXPECT_THAT(problems[0].found, HasSubstr(row.found)) << row.key;
        EXPECT_THAT(problems[0].allowed, HasSubstr(row.allowed)) << row.key;
        EXPECT_GT(problems[0].position.line, row.settings.empty() ? 0 : -1) << row.key;
    }
    // Latitude first, on a plan with coordinates.
    std::string geographic = with(line + "longitude_latitude_deg = [[8, 47.2], [47.3, 108]]\n");
    geographic.replace(geographic.find("x_m = 0\ny_m = 0"), 15, "latitude_deg = 47\nlongitude_deg = 8");
    const auto problems = problems_of(geographic);
    ASSERT_EQ(problems.size(), 1u);
    EXPECT_EQ(problems[0].key, "power_line[1].longitude_latitude_deg[2]");
    EXPECT_THAT(problems[0].found, HasSubstr("108"));
}

TEST(Surroundings, ASpectrumThatEndsTooSoonIsRefused) {
    const ampturn::test::ScratchDirectory scratch;
    scratch.write("own.csv", "frequency_hz,b_pt_per_rthz\n100,0.7\n20000,0.7\n");
    try {
        parse_plan(with(""), scratch.file("plan.toml"), {{"station[2].spectrum_csv", "own.csv"}});
        FAIL();
    } catch (const InputError& error) {
        EXPECT_EQ(error.problems().front().key, "station[2].spectrum_csv");
        EXPECT_THAT(error.problems().front().allowed, HasSubstr("25475 Hz"));
    }
}

TEST(Surroundings, AQuestionIsAboutOneGround) {
    const std::string question =
        "\n[question]\ntext = \"How deep?\"\nkind = \"depth\"\ninterface = 2\nwithin_m = 3\n";
    const auto problems = problems_of(with(surroundings + question), {own[0], {"question.interface", "1"}});
    ASSERT_EQ(problems.size(), 1u);
    EXPECT_EQ(problems[0].key, "question.stations");
    EXPECT_EQ(problems[0].found, "\"near\" on [earth] and \"far\" on [[ground]] 1");
    // Definition: the bog has two interfaces, [earth] one.
    EXPECT_TRUE(
        problems_of(with(surroundings + question), {own[0], {"question.stations", "[\"far\"]"}}).empty());
    const auto shallow =
        problems_of(with(surroundings + question), {own[0], {"question.stations", "[\"near\"]"}});
    ASSERT_EQ(shallow.size(), 1u);
    EXPECT_EQ(shallow[0].key, "question.interface");
}

}  // namespace surroundings_test
