#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace transmitter_command_test {

using ampturn::test::ProgramResult;
using ampturn::test::run_program;
using nlohmann::json;
using testing::HasSubstr;

const std::string program = ampturn::test::program_path("ampturn");
const std::string quick = ampturn::test::source_path("demo/quick.toml");
const std::string cases = ampturn::test::source_path("tests/reference/rig/");

TEST(TransmitterCommand, CaseFilesPassAndAMissIsExitOne) {
    for (const char* file : {"wire.json", "bridge.json", "chain.json"}) {
        const ProgramResult r = run_program(program, {"transmitter", "--cases", cases + file, "--check"});
        EXPECT_EQ(r.exit_code, 0) << r.out;
        EXPECT_THAT(r.out, HasSubstr("cases within their limits"));
    }
    std::ifstream in(cases + "wire.json");
    json changed = json::parse(in);
    changed["cases"][0]["outputs"]["resistance_ohm"] = 1.0;
    const ampturn::test::ScratchDirectory scratch;
    const std::string changed_file = scratch.write("changed.json", changed.dump());
    const ProgramResult miss = run_program(program, {"transmitter", "--cases", changed_file, "--check"});
    EXPECT_EQ(miss.exit_code, 1);
    EXPECT_THAT(miss.out, HasSubstr("miss: wire-o001"));
    EXPECT_EQ(run_program(program, {"transmitter", "--cases", changed_file}).exit_code, 0)
        << "without --check";
    const ProgramResult broken =
        run_program(program, {"transmitter", "--cases", scratch.write("broken.json", "{\"cases\": [")});
    EXPECT_EQ(broken.exit_code, 2);
    EXPECT_THAT(broken.err, HasSubstr("broken.json:1:"));
}

TEST(TransmitterCommand, TableJsonAndCsvSayTheSame) {
    const ProgramResult text = run_program(program, {"transmitter", quick});
    EXPECT_EQ(text.exit_code, 0) << text.err;
    EXPECT_THAT(text.out, HasSubstr("invented scenario"));
    EXPECT_THAT(text.out, HasSubstr("Energised loop"));
    const json data = json::parse(run_program(program, {"transmitter", quick, "--json"}).out);
    const auto& step = data.at("steps").at(0).at("table");
    const double moment = step.at("moment_a_m2_peak").get<double>();
    // 3 turns of 6 m x 6 m: 108 A m2 per ampere (closed form).
    EXPECT_NEAR(moment, 108 * step.at("fundamental_a_peak").get<double>(), 1e-9 * moment);
    EXPECT_EQ(data.at("curves").size(), 2u) << "one curve a tap";
    const std::string csv = run_program(program, {"transmitter", quick, "--csv"}).out;
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 1 + 2 * static_cast<int>(data.at("steps").size()));
}

TEST(TransmitterCommand, PageAndCsvHaveTheFieldStrengthOfEachStep) {
    const ampturn::test::ScratchDirectory scratch;
    const std::string plan =
        scratch.write("plan.toml", ampturn::test::read_whole_file(quick) +
                                       "\n[emission]\nlimit_tables = [\"erc_rec_70_03_annex_9\"]\n");
    ASSERT_EQ(run_program(program, {"transmitter", plan, "--out", scratch.file("out")}).exit_code, 0);
    const json steps = json::parse(ampturn::test::read_whole_file(scratch.file("out/transmitter.json")))
                           .at("emission")
                           .at("steps");
    const std::string page = ampturn::test::read_whole_file(scratch.file("out/transmitter.html"));
    EXPECT_THAT(page, HasSubstr("<h2>Field strength</h2>"));
    std::istringstream csv(ampturn::test::read_whole_file(scratch.file("out/transmitter.csv")));
    std::string header, line;
    std::getline(csv, header);
    const std::string last =
        "h_a_per_m_rms_at_10_m,h_a_per_m_rms_at_30_m,h_a_per_m_rms_at_300_m,over_limit_db,"
        "over_limit_of,over_limit_order";
    ASSERT_TRUE(header.ends_with(last)) << header;
    for (const json& step : steps) {
        const json& worst = step.at("worst");
        // Definition: the same numbers as in the JSON, nine digits of them; none for what is not sent.
        std::string expected;
        for (const json& at : step.at("at"))
            expected += fmt::format(",{:.9g}", at.at("h_a_per_m_rms").get<double>());
        expected +=
            fmt::format(",{:.9g},{},{}", worst.at("excess_db").get<double>(),
                        worst.at("limit").get<std::string>(), worst.at("line").at("order").get<int>());
        ASSERT_TRUE(std::getline(csv, line));
        EXPECT_TRUE(line.ends_with(expected)) << line << "\n" << expected;
        ASSERT_TRUE(std::getline(csv, line));
        EXPECT_TRUE(line.ends_with(",,,,,")) << line;
        const double excess = std::ceil(10 * worst.at("excess_db").get<double>()) / 10;
        EXPECT_THAT(page, HasSubstr(fmt::format("{:.1f} dB {} ERC/REC 70-03 annex 9", std::abs(excess),
                                                excess > 0 ? "above" : "below")));
    }
    EXPECT_THAT(page, HasSubstr("ask the licensing authority"));
}

// What limits a step stands beside its numbers, never on a line of its own: "rms current" used to wrap on wide tables.
TEST(TransmitterCommand, EachStepIsOneLine) {
    const std::string demo = ampturn::test::source_path("demo/vesslarook.toml");
    const std::string text = run_program(program, {"transmitter", demo}).out;
    const json steps = json::parse(run_program(program, {"transmitter", demo, "--json"}).out).at("steps");
    ASSERT_EQ(steps.size(), 36u) << "definition: 18 frequencies on two loops";
    std::size_t best = 0, limited = 0;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        if (line.find(" best ") == std::string::npos || line.find('"') != std::string::npos) continue;
        ++best;
        const auto& limit = steps.at(best - 1).at("best").at("limited_by").get_ref<const std::string&>();
        limited += line.ends_with(limit);
    }
    EXPECT_EQ(best, steps.size());
    EXPECT_EQ(limited, steps.size()) << text;
}

// Both loops of the quick demo at once, off right angles and tuned near 14.7 kHz.
std::vector<std::string> both_at_once(const std::string& azimuth_b_deg) {
    return {quick,
            "--set",
            "driver.both_loops=true",
            "--set",
            "sweep.loop=\"quadrature\"",
            "--set",
            "sweep.frequencies_hz=[14700]",
            "--set",
            "driver.capacitors.capacitance_f=[4.2e-7]",
            "--set",
            "sweep.turns_in_use=3",
            "--set",
            "sweep.capacitor=1",
            "--set",
            "sweep.current_a_peak=30",
            "--set",
            "driver.current_limit_a=40",
            "--set",
            "driver.capacitors.rated_v_peak=[900]",
            "--set",
            "driver.capacitors.bleed_resistor_ohm=1e5",
            "--set",
            "loop.b.azimuth_deg=" + azimuth_b_deg};
}
json step_of(const std::string& azimuth_b_deg) {
    std::vector<std::string> arguments{"transmitter"};
    for (const std::string& a : both_at_once(azimuth_b_deg)) arguments.push_back(a);
    arguments.emplace_back("--json");
    const ProgramResult r = run_program(program, arguments);
    EXPECT_EQ(r.exit_code, 0) << r.err;
    return json::parse(r.out).at("steps").at(0);
}

TEST(TransmitterCommand, BothLoopsAtOnceCountTwice) {
    const json both = step_of("90");
    EXPECT_EQ(both.at("loop"), "A+B");
    const json& point = both.at("table");
    EXPECT_NEAR(point.at("loop_b").at("fundamental_a_peak").get<double>(),
                point.at("fundamental_a_peak").get<double>(), 1e-6)
        << "identity: like loops at right angles";
    std::vector<std::string> arguments{"transmitter"};
    for (const std::string& a : both_at_once("90")) arguments.push_back(a);
    arguments.insert(arguments.end(), {"--set", "sweep.loop=\"a\"", "--json"});
    const json one = json::parse(run_program(program, arguments).out).at("steps").at(0).at("table");
    // Closed form: two loops of the same loss; the unit's own watts count once, and a battery under twice the load sags.
    EXPECT_GT(point.at("battery_a").get<double>(), 1.5 * one.at("battery_a").get<double>());
    EXPECT_TRUE(one.at("loop_b").is_null());
}

TEST(TransmitterCommand, BothLoopsOffRightAnglesStayWithinTheirLimits) {
    for (const char* azimuth_deg : {"85", "80"}) {
        const json point = step_of(azimuth_deg).at("table");
        const double a = point.at("fundamental_a_peak").get<double>();
        const double b = point.at("loop_b").at("fundamental_a_peak").get<double>();
        EXPECT_TRUE(std::isfinite(a) && std::isfinite(b));
        EXPECT_LE(point.at("capacitor_v_peak").get<double>(), 900.001) << azimuth_deg;
        EXPECT_LE(point.at("loop_b").at("capacitor_v_peak").get<double>(), 900.001) << azimuth_deg;
        EXPECT_GT(b, 1.05 * a) << "definition: coupled in resonance, one rises and the other falls";
    }
}

TEST(TransmitterCommand, ASweepWithoutATensorIsRemarkedOn) {
    std::vector<std::string> arguments{"check"};
    for (const std::string& a : both_at_once("90")) arguments.push_back(a);
    const ProgramResult r = run_program(program, arguments);
    EXPECT_EQ(r.exit_code, 0) << r.err;
    EXPECT_THAT(r.out, HasSubstr("both loops at once: one polarisation gives no impedance tensor"));
    arguments[0] = "day";
    const ProgramResult day = run_program(program, arguments);
    EXPECT_THAT(day.out, HasSubstr("no impedance tensor at 14710 Hz")) << day.out;
}

TEST(TransmitterCommand, FilesAreWrittenAndTheSameTwice) {
    const ampturn::test::ScratchDirectory scratch;
    const std::string folder = scratch.path().string();
    ASSERT_EQ(run_program(program, {"transmitter", quick, "--out", folder}).exit_code, 0);
    const std::string first = ampturn::test::read_whole_file(folder + "/transmitter.html");
    EXPECT_THAT(first, HasSubstr("<!DOCTYPE html>"));
    EXPECT_THAT(first, HasSubstr("echarts"));
    EXPECT_THAT(first, testing::Not(HasSubstr("http://cdn")));
    for (const char* name : {"transmitter.csv", "transmitter_curves.csv", "transmitter.json"})
        EXPECT_TRUE(std::filesystem::exists(folder + "/" + name)) << name;
    ASSERT_EQ(run_program(program, {"transmitter", quick, "--out", folder}).exit_code, 0);
    EXPECT_EQ(ampturn::test::read_whole_file(folder + "/transmitter.html"), first);
}

TEST(TransmitterCommand, VariesAnyNumericKey) {
    const ProgramResult r = run_program(
        program, {"transmitter", quick, "--vary", "battery.cell_resistance_ohm=0.001:0.02:3", "--json"});
    ASSERT_EQ(r.exit_code, 0) << r.err;
    const json data = json::parse(r.out);
    ASSERT_EQ(data.at("values").size(), 3u);
    const auto volts = [&](std::size_t i) {
        return data["values"][i]["transmitter"]["steps"][0]["best"]["battery_v"].get<double>();
    };
    EXPECT_GT(volts(0), volts(1));
    EXPECT_GT(volts(1), volts(2));
    EXPECT_EQ(run_program(program, {"transmitter", quick, "--vary", "nonsense=1:2:3"}).exit_code, 2);
    EXPECT_EQ(run_program(program, {"transmitter", quick, "--vary", "loop.a.turns=3:1:3"}).exit_code, 2);
    EXPECT_EQ(run_program(program, {"transmitter"}).exit_code, 2);
}

// Every value of one key with every value of the other, each as the plan with both set.
TEST(TransmitterCommand, VariesSeveralKeysTogether) {
    const std::vector<std::string> words{"transmitter",         quick,    "--vary",
                                         "loop.a.side_m=4:6:2", "--vary", "driver.current_limit_a=8:12:3"};
    const auto with = [&](const std::string& flag) {
        std::vector<std::string> all = words;
        all.push_back(flag);
        return run_program(program, all).out;
    };
    const json data = json::parse(with("--json"));
    EXPECT_EQ(data.at("varied"), json({"loop.a.side_m", "driver.current_limit_a"}));
    ASSERT_EQ(data.at("values").size(), 6u) << "definition: 2 x 3";
    std::size_t i = 0;
    for (const char* side : {"4", "6"})
        for (const char* limit : {"8", "10", "12"}) {
            const json& varied = data["values"][i++];
            EXPECT_EQ(varied.at("at").at("loop.a.side_m"), std::stod(side));
            EXPECT_EQ(varied.at("at").at("driver.current_limit_a"), std::stod(limit));
            const ProgramResult alone = run_program(
                program, {"transmitter", quick, "--json", "--set", std::string("loop.a.side_m=") + side,
                          "--set", std::string("driver.current_limit_a=") + limit});
            EXPECT_EQ(varied.at("transmitter").at("steps"), json::parse(alone.out).at("steps"));
        }
    const std::string csv = with("--csv");
    EXPECT_THAT(csv, testing::StartsWith("loop.a.side_m,driver.current_limit_a,step,"));
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 1 + 6 * 2 * 8)
        << "definition: 8 steps, two rows each";
    EXPECT_THAT(with("--set=survey.invented=true"),
                HasSubstr("loop.a.side_m and driver.current_limit_a varied"));
}

TEST(TransmitterCommand, RefusesTooManyCombinationsAndAKeyTwice) {
    const ProgramResult many = run_program(program, {"transmitter", quick, "--vary", "loop.a.side_m=4:6:200",
                                                     "--vary", "driver.current_limit_a=8:12:6"});
    EXPECT_EQ(many.exit_code, 2);
    EXPECT_THAT(many.err,
                HasSubstr("driver.current_limit_a: found 1200 combinations with the keys before it, "
                          "allowed at most 1000 combinations of all keys together"));
    const ProgramResult twice = run_program(
        program, {"transmitter", quick, "--vary", "loop.a.side_m=4:6:2", "--vary", "loop.a.side_m=4:6:2"});
    EXPECT_EQ(twice.exit_code, 2);
    EXPECT_THAT(twice.err, HasSubstr("loop.a.side_m: found the key twice"));
}

TEST(FrequenciesCommand, JudgesAndProposes) {
    const ProgramResult text = run_program(program, {"frequencies", quick});
    EXPECT_EQ(text.exit_code, 0) << text.err;
    EXPECT_THAT(text.out, HasSubstr("frequencies clean"));
    const ProgramResult clash =
        run_program(program, {"frequencies", quick, "--set", "sweep.frequencies_hz[1]=2048", "--strict"});
    EXPECT_EQ(clash.exit_code, 1);
    EXPECT_THAT(clash.out, HasSubstr("from the 41st"));
    const json proposal =
        json::parse(run_program(program, {"frequencies", quick, "--propose", "200:20000:9", "--json"}).out);
    ASSERT_EQ(proposal.at("proposed").size(), 9U);
    // What it proposes, it finds clean.
    std::string list;
    for (const json& p : proposal["proposed"]) list += (list.empty() ? "" : ",") + p["frequency_hz"].dump();
    const ProgramResult judged = run_program(
        program, {"frequencies", quick, "--set", "sweep.frequencies_hz=[" + list + "]", "--strict"});
    EXPECT_EQ(judged.exit_code, 0) << judged.out << judged.err;
}

}  // namespace transmitter_command_test
