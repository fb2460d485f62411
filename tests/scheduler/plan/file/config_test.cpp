#include "scheduler/plan/file/config.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/run/counter_random.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"
#include "tests/scheduler/plan/file/problems_of.hpp"

namespace config_test {

using namespace ampturn::base;
using namespace ampturn::plan;
using namespace ampturn::plan::file;
using namespace ampturn::plan::explain;
using namespace ampturn::setup;
using ampturn::test::problems_of;
using ampturn::test::read_whole_file;
using testing::ElementsAre;
using testing::HasSubstr;

const std::string demo = ampturn::test::source_path("demo/");

// quick.toml plus one of every repeated table it does not have, so that each key has a place to stand.
std::string roomy_text() {
    return read_whole_file(demo + "quick.toml") +
           "\n[[earth.polarisable]]\nlayer = 2\nchargeability = 0.2\ntime_constant_s = 0.01\n"
           "exponent = 0.4\n"
           "\n[[noise.interferer]]\nname = \"pump\"\nfrequency_hz = 990\nhalf_width_hz = 2\n"
           "\n[[day.leg]]\nfrom = \"base\"\nto = \"T\"\nminutes = 12\n"
           "\n[question]\ntext = \"Where is the interface?\"\nkind = \"depth\"\ninterface = 1\n"
           "within_m = 3\n"
           "\n[[survey_day]]\ndate = 2031-06-02\n"
           "\n[charging]\ncharger_w = 80\nhours = 8\n";
}

TEST(Config, DemoValuesArrive) {
    const Plan plan = load_plan(demo + "vesslarook.toml");
    EXPECT_TRUE(plan.survey.invented);
    EXPECT_EQ(static_cast<int>(plan.survey.date.year()), 2031);
    EXPECT_THAT(plan.earth.resistivity_ohm_m, ElementsAre(400, 25, 2500));
    EXPECT_THAT(plan.earth.relative_permeability, ElementsAre(1, 1, 1));
    EXPECT_TRUE(plan.earth.cole_cole.empty());
    EXPECT_EQ(plan.sites.size(), 2U);
    ASSERT_EQ(plan.stations.size(), 12U);
    EXPECT_EQ(plan.stations[11].site_index, 1);
    EXPECT_EQ(plan.day.start_s, 7 * 3600.0);
    EXPECT_EQ(plan.day.legs.size(), 5U);
    EXPECT_EQ(plan.driver.capacitors.capacitance_f.size(), 7U);
    EXPECT_EQ(plan.loop_azimuth_deg(ampturn::model::loop::LoopSelection::a, 0), 0);
    EXPECT_EQ(plan.loop_azimuth_deg(ampturn::model::loop::LoopSelection::a, 1), 14);
    EXPECT_EQ(plan.receiver.coil_floor_pt_per_rthz, 0.012);  // class "medium", sensor_b_noise.csv
    ASSERT_TRUE(plan.question.has_value());
    EXPECT_EQ(plan.question->with_target.thickness_m.size(), 4U);
}

TEST(Config, DefaultsAreThoseOfTheStructs) {
    const Plan plan = load_plan(demo + "quick.toml");
    EXPECT_EQ(plan.driver.clock_hz, Driver{}.clock_hz);
    EXPECT_EQ(plan.thermal.winding_limit_c, Thermal{}.winding_limit_c);
    EXPECT_THAT(plan.targets.elements, ElementsAre(Element::xy, Element::yx));
    EXPECT_EQ(plan.day.air_temperature_c(0), 15);
    EXPECT_FALSE(plan.question.has_value());
}

TEST(Config, LoopOrderIsExpanded) {
    const Plan each = load_plan(demo + "quick.toml");
    ASSERT_EQ(each.sweep.steps.size(), 8U);
    EXPECT_EQ(each.sweep.steps[0].loop, ampturn::model::loop::LoopSelection::a);
    EXPECT_EQ(each.sweep.steps[1].loop, ampturn::model::loop::LoopSelection::b);
    EXPECT_EQ(each.sweep.steps[1].frequency_hz, 975);
    EXPECT_EQ(each.sweep.steps[1].key(), "sweep.frequencies_hz[1]");
    const Plan whole = load_plan(demo + "quick.toml", {{"sweep.order", "\"whole\""}});
    ASSERT_EQ(whole.sweep.steps.size(), 8U);
    EXPECT_EQ(whole.sweep.steps[1].loop, ampturn::model::loop::LoopSelection::a);
    EXPECT_EQ(whole.sweep.steps[1].frequency_hz, 2825);
    EXPECT_EQ(whole.sweep.steps[4].loop, ampturn::model::loop::LoopSelection::b);
    EXPECT_THAT(whole.sweep.frequencies_hz(), ElementsAre(975, 2825, 8525, 25475));
}

TEST(Config, StepsOverrideTheSweep) {
    std::string text = read_whole_file(demo + "quick.toml");
    const std::string list = "frequencies_hz = [975, 2825, 8525, 25475]";
    text.replace(text.find(list), list.size(), "loop = \"b\"");
    text +=
        "\n[[sweep.step]]\nfrequency_hz = 1000\n"
        "\n[[sweep.step]]\nfrequency_hz = 4000\nloop = \"each\"\nturns_in_use = 1\ndwell_s = 33\n";
    const Plan plan = parse_plan(text, "plan.toml");
    ASSERT_EQ(plan.sweep.steps.size(), 3U);
    EXPECT_EQ(plan.sweep.steps[0].loop, ampturn::model::loop::LoopSelection::b);
    EXPECT_EQ(plan.sweep.steps[0].dwell_s, 10);
    EXPECT_EQ(plan.sweep.steps[2].loop, ampturn::model::loop::LoopSelection::b);
    EXPECT_EQ(plan.sweep.steps[2].dwell_s, 33);
    EXPECT_EQ(plan.sweep.steps[2].turns_in_use, 1);
    const auto problems = problems_of(text, {{"sweep.step[2].turns_in_use", "2"}});
    ASSERT_EQ(problems.size(), 1U);
    EXPECT_EQ(problems[0].key, "sweep.step[2].turns_in_use");
}

TEST(Config, PositionsPointAtValues) {
    const Plan plan = parse_plan("# line 1\n" + read_whole_file(demo + "quick.toml"), "plan.toml");
    const Position at = plan.positions.of("earth.resistivity_ohm_m[2]");
    EXPECT_EQ(at.line, 10);
    EXPECT_EQ(at.column, 27);
    EXPECT_EQ(plan.positions.of("earth.relative_permittivity").line, 9);  // not given: its table
    const InputError error = plan.error("earth.resistivity_ohm_m[2]", "400", "less");
    EXPECT_EQ(text_of(error.problems()[0]),
              "plan.toml:10:27: earth.resistivity_ohm_m[2]: found 400, allowed less");
}

TEST(Config, WireGauge) {
    // Published areas, below.
    struct Row {
        int awg;
        double area_mm2;
    };
    // ASTM B258, nominal areas in mm2 as tabulated (from memory), to the digits given.
    for (const Row& row : {Row{10, 5.261}, Row{12, 3.309}, Row{0, 53.49}, Row{30, 0.0509}}) {
        std::string text = read_whole_file(demo + "quick.toml");
        const std::string wire = "wire_area_mm2 = 4";
        text.replace(text.find(wire), wire.size(), "wire_awg = " + std::to_string(row.awg));
        const Plan plan = parse_plan(text, "plan.toml", {{"loop.a.turn_pitch_m", "0.05"}});
        EXPECT_NEAR(plan.loop_a.wire_area_mm2, row.area_mm2, 1e-3 * row.area_mm2) << row.awg;
    }
}

// Every key of the reference is really read: a table where it wants a scalar is refused, naming the key.
TEST(Config, EveryKeyIsReadAndRefusesTheWrongType) {
    const std::string text = roomy_text();
    int tried = 0;
    for (const FlatKey& key : flatten(plan_key_infos())) {
        std::string numbered;
        std::string prefix;
        for (std::size_t at = 0; at <= key.full_key.size();) {
            const std::size_t end = std::min(key.full_key.find('.', at), key.full_key.size());
            prefix = key.full_key.substr(0, end);
            numbered += (at == 0 ? "" : ".") + key.full_key.substr(at, end - at);
            for (const FlatKey& table : flatten(plan_key_infos()))
                if (table.full_key == prefix && table.info->repeated && end != key.full_key.size())
                    numbered += "[1]";
            at = end + 1;
        }
        const bool no_place = key.full_key.starts_with("sweep.step.") ||
                              key.full_key.starts_with("question.with_target.polarisable.");
        if (no_place) continue;
        const std::string wrong = key.info->children.empty() ? "{ wrong = 1 }" : "7";
        const auto problems = problems_of(text, {{numbered, wrong}});
        ASSERT_FALSE(problems.empty()) << numbered;
        bool named = false;
        for (const InputProblem& problem : problems) {
            named = named || problem.key == numbered;
            EXPECT_FALSE(problem.found.empty());
            EXPECT_FALSE(problem.allowed.empty());
        }
        EXPECT_TRUE(named) << numbered << " is not in:\n" << text_of(problems[0]);
        ++tried;
    }
    EXPECT_GT(tried, 180);
}

TEST(Config, NumbersRefuseNotANumberAndInfinity) {
    const std::string text = roomy_text();
    int tried = 0;
    for (const FlatKey& key : flatten(plan_key_infos())) {
        if (key.in_list || key.info->type != "number") continue;
        for (const char* value : {"nan", "inf", "-inf"}) {
            const auto problems = problems_of(text, {{key.full_key, value}});
            ASSERT_EQ(problems.size(), 1U) << key.full_key;
            EXPECT_EQ(problems[0].key, key.full_key);
            ++tried;
        }
    }
    EXPECT_GT(tried, 200);
}

TEST(Config, EveryKeySaysWhatItIs) {
    for (const FlatKey& key : flatten(plan_key_infos())) {
        EXPECT_FALSE(key.info->help.empty()) << key.full_key;
        EXPECT_TRUE(key.info->required || !key.info->children.empty() || !key.info->default_text.empty() ||
                    !key.info->when_absent.empty())
            << key.full_key << " says nothing about its absence";
        EXPECT_FALSE(key.info->required && !key.info->default_text.empty()) << key.full_key;
    }
}

// A name ends in its unit, so the unit of the key and its last part agree.
TEST(Config, NamesEndInTheirUnit) {
    const std::map<std::string, std::string> endings{
        {"m", "_m"},         {"deg", "_deg"},     {"Hz", "_hz"},     {"s", "_s"},       {"min", "_min"},
        {"ohm m", "_ohm_m"}, {"ohm", "_ohm"},     {"W", "_w"},       {"A h", "_ah"},    {"nT", "_nt"},
        {"F", "_f"},         {"C", "_c"},         {"ppm", "_ppm"},   {"J", "_j"},       {"m/s", "_m_s"},
        {"K/W", "_k_per_w"}, {"J/K", "_j_per_k"}, {"1/h", "_per_h"}, {"mm2", "_mm2"},   {"AWG", "_awg"},
        {"W h", "_wh"},      {"%", "_percent"},   {"dB", "_db"},     {"km/h", "_km_h"}, {"F/m", "_f_per_m"}};
    const std::vector<std::string> exceptions{"day.leg.minutes", "day.temperature_hour",
                                              "battery.rated_hours", "uncertainty.temperature_c"};
    for (const FlatKey& key : flatten(plan_key_infos())) {
        const auto ending = endings.find(key.info->unit);
        if (ending == endings.end() ||
            std::find(exceptions.begin(), exceptions.end(), key.full_key) != exceptions.end())
            continue;
        EXPECT_TRUE(key.info->name.ends_with(ending->second)) << key.full_key << " in " << key.info->unit;
    }
}

TEST(Config, ZeroHasNoSign) {
    const std::string path = demo + "plan.toml";
    const std::string written = write_plan(parse_plan(roomy_text(), path, {{"loop.a.azimuth_deg", "-0.0"}}));
    EXPECT_EQ(written.find("= -0"), std::string::npos);
    EXPECT_EQ(
        written.substr(written.find('\n')),
        write_plan(parse_plan(roomy_text(), path, {{"loop.a.azimuth_deg", "0"}})).substr(written.find('\n')));
}

TEST(Config, WrittenPlanReadsBackTheSame) {
    // Identity: written and read back.
    for (const std::string& text : {roomy_text(), read_whole_file(demo + "vesslarook.toml")}) {
        const Plan plan = parse_plan(text, demo + "plan.toml");
        const std::string written = write_plan(plan);
        Plan again = parse_plan(written, demo + "plan.toml");
        again.source = plan.source;  // the first line quotes it
        EXPECT_EQ(write_plan(again), written);
        ASSERT_EQ(again.sweep.steps.size(), plan.sweep.steps.size());
        for (std::size_t i = 0; i < plan.sweep.steps.size(); ++i) {
            EXPECT_EQ(again.sweep.steps[i].frequency_hz, plan.sweep.steps[i].frequency_hz);
            EXPECT_EQ(again.sweep.steps[i].loop, plan.sweep.steps[i].loop);
            EXPECT_EQ(again.sweep.steps[i].dwell_s, plan.sweep.steps[i].dwell_s);
        }
        ASSERT_EQ(again.stations.size(), plan.stations.size());
        for (std::size_t i = 0; i < plan.stations.size(); ++i) {
            EXPECT_NEAR(again.stations[i].offset_m, plan.stations[i].offset_m, 1e-6);
            EXPECT_NEAR(again.stations[i].bearing_deg, plan.stations[i].bearing_deg, 1e-6);
        }
        EXPECT_EQ(again.question.has_value(), plan.question.has_value());
        EXPECT_EQ(again.battery.cut_off_v, plan.battery.cut_off_v);
    }
}

struct Refused {
    std::vector<Setting> settings;
    const char* key;
    const char* words;
};

TEST(Config, RulesBetweenKeys) {
    const std::vector<Refused> rows = {
        {{{"driver.supply", "\"dc_dc\""}}, "driver.bus_v", "nothing"},
        {{{"driver.bus_v", "24"}}, "driver.bus_v", "24"},
        {{{"driver.capacitors.capacitance_f", "[1e-6]"}}, "driver.capacitors.rated_v_peak", "0 entries"},
        {{{"driver.current_limit", "\"clamp\""}}, "driver.current_limit_quantity", "\"rms\""},
        {{{"sweep.current_a_peak", "17.1"}}, "sweep.current_a_peak", "17.1"},
        {{{"sweep.capacitor", "1"}}, "sweep.capacitor", "1"},
        {{{"sweep.loop", "\"quadrature\""}}, "sweep.loop", "quadrature"},
        {{{"driver.current_limit", "\"latched\""},
          {"driver.current_limit_quantity", "\"peak\""},
          {"driver.capacitors.capacitance_f", "[1e-6]"},
          {"driver.capacitors.rated_v_peak", "[900]"}},
         "driver.current_limit",
         "\"latched\" with 1 capacitors"},
        {{{"driver.idle_loop", "\"closed\""}}, "driver.idle_loop", "both_loops = false"},
        {{{"sweep.loop", "\"quadrature\""},
          {"driver.both_loops", "true"},
          {"loop.b.taps", "[2]"},
          {"loop.a.taps", "[1]"},
          {"sweep.turns_in_use", "1"}},
         "sweep.turns_in_use",
         "1"},
        {{{"sweep.dwell_s", "0.5"}}, "sweep.frequencies_hz[1]", "dwell_s 0.5"},
        {{{"sweep.min_dwell_s", "700"}}, "sweep.frequencies_hz[1]", "above max_dwell_s"},
        {{{"loop.b.azimuth_deg", "175"}}, "loop.b.azimuth_deg", "5 deg between the normals"},
        {{{"loop.a.taps", "[2, 2]"}}, "loop.a.taps[2]", "2"},
        {{{"loop.a.taps", "[3]"}}, "loop.a.taps[1]", "3"},
        {{{"loop.a.centre_height_m", "2.9"}}, "loop.a.centre_height_m", "2.9"},
        {{{"loop.a.wire_awg", "10"}}, "loop.a.wire_area_mm2", "wire_area_mm2 and wire_awg"},
        {{{"loop.a.turn_pitch_m", "0.002"}}, "loop.a.turn_pitch_m", "0.002"},
        {{{"loop.a.diameter_m", "3"}}, "loop.a.diameter_m", "a value"},
        {{{"loop.a.shape", "\"circle\""}}, "loop.a.diameter_m", "nothing"},
        {{{"battery.state_of_health", "[1, 1]"}}, "battery.state_of_health", "2 entries"},
        {{{"battery.ocv_cell_v", "[3, 3.3]"}}, "battery.ocv_cell_v", "2 entries"},
        {{{"day.end", "\"08:00\""}}, "day.end", "08:00:00"},
        {{{"day.temperature_hour", "[6, 12]"}}, "day.temperature_c", "0 entries"},
        {{{"day.leg[1].to", "\"nera\""}}, "day.leg[1].to", "nera"},
        {{{"station[1].site", "\"U\""}}, "station[1].site", "\"U\""},
        {{{"station[1].name", "\"far\""}}, "station[2].name", "again"},
        {{{"station[1].name", "\"T\""}}, "station[1].name", "the name of a site"},
        {{{"station[1].x_m", "100"}}, "station[1]", "two ways"},
        {{{"station[1].required_frequencies_hz", "[976]"}}, "station[1].required_frequencies_hz[1]", "976"},
        {{{"site[1].latitude_deg", "60"}}, "site[1]", "two ways"},
        {{{"earth.polarisable[1].layer", "3"}}, "earth.polarisable[1].layer", "3"},
        {{{"earth.anisotropy", "[1]"}}, "earth.anisotropy", "1 entries"},
        {{{"receiver.coil", "\"custom\""}}, "receiver.coil_floor_pt_per_rthz", "nothing or zero"},
        {{{"receiver.coil_a_pt", "1"}}, "receiver.coil", "a class together"},
        {{{"targets.near_field_bias_percent", "4"}}, "targets.near_field_bias_percent", "4"},
        {{{"safety.exposure_levels", "own"}}, "safety.own_public_b_ut", "nothing"},
        {{{"safety.own_public_b_ut", "3"}}, "safety.own_public_b_ut", "a level"},
        {{{"targets.near_field_bias_deg", "2"}}, "targets.near_field_bias_deg", "2"},
        {{{"receiver.window", "\"tukey_1.5\""}}, "receiver.window", "tukey_1.5"},
        {{{"receiver.window", "\"cosine_\""}}, "receiver.window", "cosine_"},
        {{{"battery.cut_off_v", "12"}}, "battery.cut_off_v", "12 V"},
        {{{"battery.ocv_cell_v", "[1.9, 2.1]"}, {"battery.ocv_state_of_charge", "[0, 1]"}},
         "battery.ocv_cell_v[1]",
         "1.9"},
        {{{"battery.kinetic_k_per_h", "1"}, {"battery.one_hour_fraction", "0.6"}},
         "battery.one_hour_fraction",
         "kinetic_k_per_h"},
        {{{"question.interface", "2"}}, "question.interface", "2"},
        {{{"question.kind", "\"two_grounds\""}}, "question.with_target", "nothing"},
        {{{"question.stations", "[\"nowhere\"]"}}, "question.stations[1]", "nowhere"},
        {{{"unit.shorted_loop_ohm", "60"}}, "unit.shorted_loop_ohm", "60"},
    };
    for (const Refused& row : rows) {
        const auto problems = problems_of(roomy_text(), row.settings);
        ASSERT_FALSE(problems.empty()) << row.key;
        EXPECT_EQ(problems[0].key, row.key);
        EXPECT_THAT(problems[0].found, HasSubstr(row.words)) << row.key;
    }
    EXPECT_TRUE(problems_of(roomy_text()).empty());
}

TEST(Config, CellsFollowTheChemistry) {
    // Definition: a 12.8 V lithium iron phosphate block has 4 cells, a 12 V lead-acid one 6.
    EXPECT_EQ((Battery{.chemistry = Chemistry::lifepo4}.cells()), 4);
    EXPECT_EQ((Battery{.chemistry = Chemistry::agm}.cells()), 6);
    EXPECT_EQ((Battery{.chemistry = Chemistry::lifepo4, .cells_series = 8}.cells()), 8);
}

TEST(Config, WindowsWithANumberAreReadAndWritten) {
    for (const auto& [word, window] : {std::pair{"tukey_0.25", Window{Window::Kind::tukey, 0.25}},
                                       {"cosine_3", Window{Window::Kind::cosine, 3}},
                                       {"blackman", Window::blackman}}) {
        const Plan plan =
            parse_plan(roomy_text(), "plan.toml", {{"receiver.window", "\"" + std::string(word) + "\""}});
        EXPECT_EQ(plan.receiver.window, window) << word;
        EXPECT_EQ(parse_plan(write_plan(plan), "again.toml").receiver.window, window) << word;
    }
}

TEST(Config, OwnNaturalSpectrum) {
    const ampturn::test::ScratchDirectory scratch;
    scratch.write("own.csv", "# invented\nfrequency_hz,b_pt_per_rthz\n100,0.1\n1000,0.02\n50000,0.05\n");
    const std::string path = scratch.file("plan.toml");
    const std::vector<Setting> own{{"noise.spectrum_csv", "own.csv"}};
    const Plan plan = parse_plan(roomy_text(), path, own);
    ASSERT_TRUE(plan.noise.spectrum.has_value());
    EXPECT_THAT(plan.noise.spectrum->b_pt_per_rthz, ElementsAre(0.1, 0.02, 0.05));
    // Gaps are told: 2825 Hz and more lie between 1000 and 50 000 Hz, 975 Hz between 100 and 1000 Hz.
    int gaps = 0;
    for (const Remark& remark : plan_remarks(plan)) gaps += remark.key == "noise.spectrum_csv";
    EXPECT_EQ(gaps, 4);

    // Closed form: half way in frequency between 1000 Hz and 50 000 Hz.
    const auto density = [&](const char* how, double f) {
        std::vector<Setting> settings = own;
        settings.push_back({"noise.spectrum_interpolation", how});
        const Plan with = parse_plan(roomy_text(), path, settings);
        const double h = std::sqrt(noise_at_station(with, with.stations[0], 12, f, 1.0).h.natural);
        return h * 4e-7 * M_PI * 1e12;
    };
    EXPECT_NEAR(density("\"linear\"", 25'500), 0.035, 1e-9);
    EXPECT_NEAR(density("\"log_log\"", std::sqrt(1000.0 * 50'000.0)), std::sqrt(0.02 * 0.05), 1e-9);
    EXPECT_NEAR(density("\"log_log\"", 25'500), 0.02 * std::pow(2.5, std::log(25.5) / std::log(50.0)), 1e-9);
    for (const char* how : {"\"linear\"", "\"log_log\""}) EXPECT_NEAR(density(how, 1000), 0.02, 1e-9);
    EXPECT_EQ(parse_plan(write_plan(parse_plan(roomy_text(), path,
                                               {{"noise.spectrum_interpolation", "\"linear\""}})),
                         path)
                  .noise.spectrum_interpolation,
              Interpolation::linear);
    EXPECT_THROW(parse_plan(roomy_text(), path, {{"noise.spectrum_interpolation", "\"cubic\""}}), InputError);

    struct Row {
        const char* text;
        int line, column;
    };
    for (const Row& row :
         {Row{"frequency_hz,b\n", 1, 1}, Row{"frequency_hz,b_pt_per_rthz\n100;1\n", 2, 1},
          Row{"frequency_hz,b_pt_per_rthz\n100,nan\n", 2, 5},
          Row{"frequency_hz,b_pt_per_rthz\n100,1\n100,1\n", 3, 1},
          Row{"frequency_hz,b_pt_per_rthz\n100,-1\n", 2, 5}, Row{"frequency_hz,b_pt_per_rthz\n", 0, 0}}) {
        scratch.write("own.csv", row.text);
        try {
            parse_plan(roomy_text(), path, own);
            ADD_FAILURE() << row.text;
        } catch (const InputError& error) {
            EXPECT_EQ(error.problems()[0].file, scratch.file("own.csv"));
            EXPECT_EQ(error.problems()[0].position.line, row.line) << row.text;
            EXPECT_EQ(error.problems()[0].position.column, row.column) << row.text;
        }
    }
    scratch.write("own.csv", "frequency_hz,b_pt_per_rthz\n1000,0.1\n50000,0.1\n");
    EXPECT_THROW(parse_plan(roomy_text(), path, own), InputError);  // 975 Hz is sent and not covered
}

// Damaged text is refused or read, never anything else: bytes replaced, removed and doubled at random.
TEST(Config, DamagedTextNeverCrashes) {
    const std::string whole = roomy_text();
    constexpr std::uint64_t seed = 20310312;
    const ampturn::run::CounterRandom random(seed, ampturn::run::stream_of("damage"));
    int refused = 0;
    for (std::uint64_t draw = 0; draw < 3000; ++draw) {
        std::string text = whole;
        for (std::uint64_t k = 0; k < 1 + draw % 4; ++k) {
            if (text.empty()) break;
            const auto bits = random.block(4 * draw + k);
            const std::uint32_t word = bits[1];
            const std::size_t at = bits[0] % text.size();
            switch (bits[2] % 4) {
                case 0:
                    text[at] = static_cast<char>(word & 0xffU);
                    break;
                case 1:
                    text.erase(at, 1 + (word & 0x1fU));
                    break;
                case 2:
                    text.insert(at, text.substr(at, 1 + (word & 0x1fU)));
                    break;
                default:
                    text.resize(at + 1);
                    break;
            }
        }
        try {
            parse_plan(text, "plan.toml");
        } catch (const InputError& error) {
            ++refused;
            for (const InputProblem& problem : error.problems()) EXPECT_FALSE(text_of(problem).empty());
        }
    }
    EXPECT_GT(refused, 1500);
}

}  // namespace config_test
