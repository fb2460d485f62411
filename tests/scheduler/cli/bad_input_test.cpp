#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>

#include "tests/paths.hpp"
#include "tests/run_program.hpp"

// Whatever is wrong with an input, the real program says so in one line a problem, with exit code 2.

namespace bad_input_test {

using ampturn::test::ProgramResult;
using ampturn::test::read_whole_file;
using ampturn::test::run_program;
using ampturn::test::ScratchDirectory;
using testing::HasSubstr;
using testing::StartsWith;

const std::string program = ampturn::test::program_path("ampturn");
const std::string quick = ampturn::test::source_path("demo/quick.toml");

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

int line_of(const std::string& text, const std::string& word) {
    return static_cast<int>(
               std::count(text.begin(), text.begin() + static_cast<long>(text.find(word)), '\n')) +
           1;
}

// Checks quick.toml with one text replaced; expects one problem at `where` that holds all of `words`.
struct Edit {
    const char* from;
    const char* to;
    const char* where;  // text in the edited file on whose line the problem must be
    int column;
    std::vector<std::string> words;
};

void expect_refused(const Edit& edit) {
    const ScratchDirectory scratch;
    const std::string text = replaced(read_whole_file(quick), edit.from, edit.to);
    const std::string path = scratch.write("plan.toml", text);
    const ProgramResult result = run_program(program, {"check", path});
    EXPECT_EQ(result.exit_code, 2) << result.out << result.err;
    EXPECT_EQ(result.out, "");
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    EXPECT_THAT(result.err, StartsWith("ampturn: " + path + ":" + std::to_string(line_of(text, edit.where)) +
                                       ":" + std::to_string(edit.column) + ": "));
    for (const std::string& word : edit.words) EXPECT_THAT(result.err, HasSubstr(word));
}

TEST(BadInput, DemoPlansAreFine) {
    for (const char* name : {"quick", "vesslarook", "two_crews"}) {
        const ProgramResult result =
            run_program(program, {"check", ampturn::test::source_path("demo/") + name + ".toml"});
        EXPECT_EQ(result.exit_code, 0) << result.err;
        EXPECT_EQ(result.err, "");
        EXPECT_THAT(result.out, HasSubstr("a valid plan (invented scenario)"));
    }
}

TEST(BadInput, ReceiverCrews) {
    const char* const before = "[loop.a]";
    const std::string juniper = "[[receiver_crew]]\nname = \"Juniper\"\n";
    expect_refused({before,
                    (juniper + "[[receiver_crew]]\nname = \"Juniper\"\n\n[loop.a]").c_str(),
                    "name = \"Juniper\"\n\n[loop",
                    8,
                    {"receiver_crew[2].name", "\"Juniper\" again", "each name once"}});
    expect_refused({before,
                    (juniper + "sensor_sets = 0\n\n[loop.a]").c_str(),
                    "sensor_sets = 0",
                    15,
                    {"receiver_crew[1].sensor_sets", "found 0", "1 to 100"}});
    expect_refused({"bearing_deg = 40\n\n[loop.a]",
                    "bearing_deg = 40\ncrew = \"Sorrel\"\n\n[loop.a]",
                    "crew = ",
                    8,
                    {"station[2].crew", "\"Sorrel\"", "the plan has none"}});
    const std::string unknown = "bearing_deg = 40\ncrew = \"Sorrel\"\n\n" + juniper + "\n[loop.a]";
    expect_refused({"bearing_deg = 40\n\n[loop.a]",
                    unknown.c_str(),
                    "crew = ",
                    8,
                    {"station[2].crew", "\"Sorrel\"", "the name of a [[receiver_crew]]: \"Juniper\""}});
}

TEST(BadInput, MissingFile) {
    const ProgramResult result = run_program(program, {"check", "/nonexistent/plan.toml"});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, StartsWith("ampturn: /nonexistent/plan.toml: found nothing that can be read"));
}

TEST(BadInput, UnreadableFile) {
    // Reading address 0 of one's own memory fails with an input/output error for every user, root included.
    const ProgramResult result = run_program(program, {"check", "/proc/self/mem"});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, HasSubstr("nothing that can be read"));
}

TEST(BadInput, FileWithoutPermission) {
    if (::geteuid() == 0) GTEST_SKIP() << "root reads files without the permission to";
    const ScratchDirectory scratch;
    const std::string path = scratch.write("plan.toml", "");
    std::filesystem::permissions(path, std::filesystem::perms::none);
    EXPECT_EQ(run_program(program, {"check", path}).exit_code, 2);
}

TEST(BadInput, DirectoryInsteadOfFile) {
    const ProgramResult result = run_program(program, {"check", "/tmp"});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, HasSubstr("found a directory, allowed a readable text file"));
}

TEST(BadInput, SyntaxError) {
    expect_refused({"turns = 3\n", "turns = = 3\n", "turns = = 3", 9, {"a TOML syntax error"}});
}

TEST(BadInput, SyntaxErrorSaysWhatIsMeant) {
    const char* const comma = "a decimal point, 20.5, not a comma";
    const char* const unit = "a number alone; its unit stands in the name of the key";
    const char* const quotes = "text stands in quotes, \"like this\"; only true and false do not";
    expect_refused({"side_m = 6\n", "side_m = 6,5\n", "side_m = 6,5", 11, {"TOML syntax error", comma}});
    expect_refused({"side_m = 6\n", "side_m = 6 m\n", "side_m = 6 m", 12, {"TOML syntax error", unit}});
    expect_refused({"side_m = 6\n", "side_m = 600cm\n", "side_m = 600cm", 13, {"TOML syntax error", unit}});
    expect_refused(
        {"shape = \"square\"", "shape = square", "shape = square", 9, {"TOML syntax error", quotes}});
    // A list of numbers, a fault of another kind, and the last line of a file without an end: no such advice.
    for (const char* text : {"a = [1,2", "a = ", "=", "a", "[a", "a = 1 = 2"}) {
        const ScratchDirectory scratch;
        const ProgramResult result = run_program(program, {"check", scratch.write("plan.toml", text)});
        EXPECT_EQ(result.exit_code, 2) << text;
        EXPECT_THAT(result.err,
                    AllOf(HasSubstr("TOML syntax error"), testing::EndsWith("allowed TOML 1.0\n")))
            << text;
    }
}

TEST(BadInput, DateInQuotes) {
    expect_refused(
        {"invented = true\n",
         "invented = true\ndate = \"2031-09-18\"\n",
         "date = ",
         8,
         {"survey.date", "the text \"2031-09-18\"", "a date written as 2030-05-17, without quotes"}});
}

TEST(BadInput, UnknownCommandsAndFlagsSuggestTheNearest) {
    struct Slip {
        std::vector<std::string> words;
        const char* said;
    };
    const Slip slips[] = {
        {{"chek", quick},
         "ampturn: found no command \"chek\", allowed the nearest one, \"check\"; see `ampturn --help`\n"},
        {{"day", quick, "--battery", "2"},
         "ampturn: --battery: found an unknown flag, allowed the nearest one, \"--batteries\"; see `ampturn day --help`\n"},
        {{"check", quick, "--sets=day.start=06:00"},
         "ampturn: --sets: found an unknown flag, allowed the nearest one, \"--set\"; see `ampturn check --help`\n"},
        {{"--frobnicate"},
         "ampturn: --frobnicate: found an unknown flag, allowed one of --help, --version; see `ampturn --help`\n"},
        {{"check", quick, quick}, "; see `ampturn check --help`\n"},
        {{"lines", quick}, "ampturn: `lines` is called `frequencies` now; "},
    };
    for (const Slip& slip : slips) {
        const ProgramResult result = run_program(program, slip.words);
        EXPECT_EQ(result.exit_code, 2) << result.out;
        EXPECT_THAT(result.err, HasSubstr(slip.said));
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    }
    // A plan where a command belongs: all commands are named.
    EXPECT_THAT(run_program(program, {quick}).err,
                AllOf(HasSubstr("found no command"), HasSubstr("one of new, check, edit, explain, ")));
}

TEST(BadInput, KeyWithoutItsTable) {
    const ProgramResult result = run_program(program, {"check", quick, "--set", "dwell_s=60"});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, AllOf(HasSubstr("dwell_s: found an unknown key"),
                                  HasSubstr("`ampturn explain WORD` finds them")));
    EXPECT_THAT(run_program(program, {"check", quick, "--set", "loop.a.turn=2"}).err,
                HasSubstr("the nearest known key \"loop.a.turns\""));
}

TEST(BadInput, UnknownKeySuggestsTheNearest) {
    expect_refused({"turns = 3\n",
                    "turns = 3\nwire_awq = 10\n",
                    "wire_awq",
                    1,
                    {"loop.a.wire_awq: found an unknown key", "nearest known key \"loop.a.wire_awg\""}});
}

TEST(BadInput, UnknownUnitInTheName) {
    expect_refused({"dwell_s = 10",
                    "dwell_s = 10\ngap_ms = 100",
                    "gap_ms",
                    1,
                    {"found an unknown key", "nearest known key \"sweep.gap_s\""}});
}

TEST(BadInput, WrongType) {
    expect_refused({"side_m = 6",
                    "side_m = \"6 m\"",
                    "side_m = \"6 m\"",
                    10,
                    {"loop.a.side_m: found the text \"6 m\"", "a number in m"}});
    expect_refused(
        {"turns = 3\n", "turns = 3.5\n", "turns = 3.5", 9, {"found 3.5", "a whole number, 1 to 1000"}});
    expect_refused(
        {"invented = true", "invented = 1", "invented = 1", 12, {"found 1, allowed true or false"}});
}

TEST(BadInput, ALimitOfFieldStrengthWithoutItsDistance) {
    const std::string begin = "[emission]\n[[emission.limit]]\nname = \"own\"\nlow_hz = 900\n";
    const auto refused = [&](const std::string& rest, const char* where, int column,
                             const std::vector<std::string>& words) {
        const std::string to = begin + rest + "\n[receiver]";
        expect_refused({"[receiver]", to.c_str(), where, column, words});
    };
    refused("high_hz = 1000\nh_dbua_per_m = 60\n", "[[emission.limit]]", 1,
            {"emission.limit[1].distance_m: found nothing", "required"});
    refused("high_hz = 1000\ndistance_m = 20\n", "[[emission.limit]]", 1,
            {"emission.limit[1].h_dbua_per_m: found nothing", "one of h_dbua_per_m and e_dbuv_per_m"});
    refused("high_hz = 800\ndistance_m = 20\nh_dbua_per_m = 60\n", "high_hz = 800", 11,
            {"emission.limit[1].high_hz: found 800", "at least low_hz, 900 Hz"});
    refused("high_hz = 1000\ndistance_m = 0\nh_dbua_per_m = 60\n", "distance_m = 0", 14,
            {"emission.limit[1].distance_m: found 0", "1 to 20000 m"});
    refused("high_hz = 1000\ndistance_m = 4\nh_dbua_per_m = 60\n", "distance_m = 4", 14,
            {"emission.limit[1].distance_m: found 4", "more than 4.243 m"});
}

TEST(BadInput, NegativeResistivity) {
    expect_refused({"resistivity_ohm_m = [100, 400]",
                    "resistivity_ohm_m = [100, -400]",
                    "resistivity_ohm_m",
                    27,
                    {"earth.resistivity_ohm_m[2]: found -400", "0.001 to 1000000 ohm m"}});
}

TEST(BadInput, ThicknessCountNotMatching) {
    expect_refused({"thickness_m = [30]",
                    "thickness_m = [30, 20]",
                    "thickness_m",
                    15,
                    {"earth.thickness_m: found 2 entries", "1: one fewer than the 2 of resistivity_ohm_m"}});
}

TEST(BadInput, ZeroTurns) {
    expect_refused({"turns = 3\n", "turns = 0\n", "turns = 0", 9, {"loop.a.turns: found 0", "1 to 1000"}});
}

TEST(BadInput, FrequencyBeyondTheClock) {
    const ProgramResult result =
        run_program(program, {"check", quick, "--set", "driver.clock_hz=100000", "--set",
                              "receiver.sample_rate_hz=1e6", "--set", "sweep.frequencies_hz[4]=50100"});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, HasSubstr("sweep.frequencies_hz[4]: found 50100, "
                                      "allowed at most 50000 Hz, half of driver.clock_hz"));
}

TEST(BadInput, FrequencyBeyondTheReceiver) {
    expect_refused({"8525, 25475]",
                    "8525, 60025]",
                    "frequencies_hz",
                    36,
                    {"found 60025", "half of receiver.sample_rate_hz"}});
}

TEST(BadInput, RecordThatTransformsSlowly) {
    expect_refused({"record_length = 102400",
                    "record_length = 1020",
                    "record_length = 1020",
                    17,
                    {"receiver.record_length: found 1020", "prime factors up to 13", "1014 is one"}});
}

TEST(BadInput, StationOnTopOfTheLoop) {
    expect_refused(
        {"offset_m = 120",
         "offset_m = 3",
         "[[station]]",
         1,
         {"station[1]: found \"near\" 3 m from site \"T\", on top of the loop", "at least 5.243 m"}});
}

TEST(BadInput, BatteryWithoutCutOff) {
    expect_refused(
        {"cut_off_v = 22\n", "", "[battery]", 1, {"battery.cut_off_v: found nothing", "(required)"}});
    expect_refused({"cut_off_v = 22\n", "cut_off_v = 0\n", "cut_off_v", 13, {"found 0", "above 0"}});
    expect_refused({"cut_off_v = 22\n",
                    "cut_off_v = 28\n",
                    "cut_off_v",
                    13,
                    {"found 28", "less than a full set's open-circuit voltage, 27.2 V"}});
}

TEST(BadInput, TableTooLong) {
    std::string many = "frequencies_hz = [";
    for (int i = 0; i < 33; ++i) many += std::to_string(1000 + 50 * i) + ",";
    expect_refused({"frequencies_hz = [975, 2825, 8525, 25475]",
                    (many + "]").c_str(),
                    "frequencies_hz",
                    18,
                    {"66 steps, counting each loop", "at most 64 steps"}});
}

TEST(BadInput, NotANumberAndInfinity) {
    expect_refused({"dwell_s = 10", "dwell_s = nan", "dwell_s", 11, {"sweep.dwell_s: found nan"}});
    expect_refused({"dwell_s = 10", "dwell_s = inf", "dwell_s", 11, {"sweep.dwell_s: found inf"}});
    expect_refused({"thickness_m = [30]",
                    "thickness_m = [-inf]",
                    "thickness_m",
                    16,
                    {"earth.thickness_m[1]: found -inf"}});
}

TEST(BadInput, HugeFileIsRefusedUnread) {
    const ScratchDirectory scratch;
    const std::string path = scratch.write("plan.toml", "# big\n");
    std::filesystem::resize_file(path, 100'000'000);
    const ProgramResult result = run_program(program, {"check", path});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_THAT(result.err, HasSubstr("found 100000000 bytes, allowed at most 4000000 bytes"));
}

TEST(BadInput, EndlessInput) {
    const ProgramResult device = run_program(program, {"check", "/dev/zero"});
    EXPECT_EQ(device.exit_code, 2);
    EXPECT_THAT(device.err, HasSubstr("/dev/zero: found a device"));
    const ScratchDirectory scratch;
    const std::string pipe = scratch.file("pipe");
    ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
    std::signal(SIGPIPE, SIG_IGN);  // the reader turns away before the end
    std::thread writer([&pipe] {
        std::ofstream out(pipe, std::ios::binary);
        const std::string zeros(100'000, '\0');
        for (int n = 0; n < 50 && out; ++n) out << zeros;
    });
    const ProgramResult endless = run_program(program, {"check", pipe});
    writer.join();
    EXPECT_EQ(endless.exit_code, 2);
    EXPECT_THAT(endless.err, HasSubstr("more than 4000000 bytes"));
}

// Each of these took the stack down before it was parsed to its end, or when what came out of it was copied, written or freed.
TEST(BadInput, TextsNestedDeeperThanAnyStack) {
    const ScratchDirectory scratch;
    const auto repeated = [](const std::string& piece, int count) {
        std::string text;
        for (int i = 0; i < count; ++i) text += piece;
        return text;
    };
    constexpr int deep = 600'000;
    const std::string lists = repeated("[", deep) + repeated("]", deep);
    const auto put = [&](const char* name, const std::string& text) { return scratch.write(name, text); };
    const std::string out = scratch.file("out");
    const std::vector<std::vector<std::string>> commands{
        {"check", put("key.toml", repeated("a.", deep) + "a = 1\n")},
        {"check", put("table.toml", "[" + repeated("a.", deep) + "a]\n")},
        {"check", quick, "--set", repeated("a.", 20'000) + "a=1"},
        {"check", quick, "--set", "survey.notes={" + repeated("a.", 20'000) + "a=1}"},
        {"weigh", quick, put("parts.toml", repeated("a.", deep) + "a = 1\n")},
        {"new", out, "--answers", put("answers.toml", repeated("a.", deep) + "a = 1\n")},
        {"fields", put("list.json", lists)},
        {"fields", put("request.json", R"({"model": )" + lists + "}")},
        {"fields", put("object.json", repeated(R"({"model":)", deep) + "1" + repeated("}", deep))},
        {"reach", quick, "--candidates",
         put("sites.geojson", R"({"type": "Feature", "geometry": )" + lists + "}")},
        {"reach", quick, "--candidates", put("sites.gpx", "<gpx>" + repeated("<a>", deep))},
        {"merge", "--out", out, put("part.json", R"({"schema": "ampturn.points", "data": )" + lists + "}")},
        {"merge", "--out", out,
         put("rows.jsonl", R"({"schema": "ampturn.reach_rows", "a": )" + lists + "}\n")},
        {"transmitter", "--cases", put("cases.json", R"({"cases": [{"inputs": )" + lists + "}]}")},
    };
    ASSERT_EQ(commands.size(), 14U);
    for (const std::vector<std::string>& command : commands) {
        const ProgramResult result = run_program(program, command);
        EXPECT_EQ(result.exit_code, 2)
            << command.front() << " " << command.back().substr(0, 80) << result.err;
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    }
}

TEST(BadInput, OutputNotWritable) {
    const ScratchDirectory scratch;
    const std::string blocked = scratch.write("file", "x") + "/reference.md";
    const ProgramResult below_file = run_program(program, {"explain", "--out", blocked});
    EXPECT_EQ(below_file.exit_code, 2);
    EXPECT_THAT(below_file.err, StartsWith("ampturn: " + blocked + ": found nothing that can be written"));
    const ProgramResult in_proc = run_program(program, {"explain", "--out", "/proc/reference.md"});
    EXPECT_EQ(in_proc.exit_code, 2);
    EXPECT_THAT(in_proc.err, HasSubstr("nothing that can be written"));
}

TEST(BadInput, DiskFull) {
    const ProgramResult file = run_program(program, {"explain", "--out", "/dev/full"});
    EXPECT_EQ(file.exit_code, 2);
    EXPECT_THAT(file.err,
                HasSubstr("/dev/full: found nothing that can be written (No space left on device)"));
    for (const std::vector<std::string>& arguments :
         {std::vector<std::string>{"explain", "--markdown"}, {"check", quick}, {"--version"}, {"--help"}}) {
        const ProgramResult result = run_program(program, arguments, "/dev/full");
        EXPECT_EQ(result.exit_code, 2) << arguments.front();
        EXPECT_THAT(result.err, HasSubstr("standard output: found nothing that can be written"));
    }
}

TEST(BadInput, AllProblemsAreSaidAtOnce) {
    const ProgramResult result =
        run_program(program, {"check", quick, "--set", "loop.a.turns=0", "--set", "loop.b.turns=\"x\"",
                              "--set", "day.start=\"25:00\"", "--set", "survey.nmae=\"y\""});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 4) << result.err;
}

TEST(BadInput, NothingFromAFileReachesTheTerminalRaw) {
    const ScratchDirectory scratch;
    const std::string path =
        scratch.write("plan.toml", "\"a\\u001b[2J\\nb\" = 1\n[survey]\nname = [\"\\u001b]0;x\\u0007\"]\n");
    const ProgramResult result = run_program(program, {"check", path});
    EXPECT_EQ(result.exit_code, 2);
    EXPECT_EQ(result.err.find('\x1b'), std::string::npos);
    for (const char c : result.err) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20);
}

// A key, command or flag of an earlier version: the answer is its name now.
TEST(BadInput, RenamedKeysAndCommandsNameTheNewOne) {
    expect_refused(
        {"[[site]]", "[[stand]]", "[[stand]]", 3, {"stand: found an unknown key", "\"site\", its name now"}});
    EXPECT_THAT(run_program(program, {"check", quick, "--set", "stand[1].x_m=0"}).err,
                HasSubstr("allowed \"site\", its name now"));
    const ProgramResult table =
        run_program(program, {"check", quick, "--set", "battery.health_fraction=[1]"});
    EXPECT_EQ(table.exit_code, 2);
    EXPECT_THAT(table.err, HasSubstr("allowed \"battery.state_of_health\", its name now"));
    EXPECT_THAT(run_program(program, {"explain", "stand[2].x_m"}).err,
                HasSubstr("\"site.x_m\", its name now"));
    EXPECT_THAT(run_program(program, {"check", quick, "--set", "station[1].stand=\"T\""}).err,
                HasSubstr("\"station[1].site\", its name now"));
    for (const auto& [arguments, words] :
         {std::pair{std::vector<std::string>{"lines", quick}, "`lines` is called `frequencies` now"},
          {{"rig", quick}, "`rig` is called `transmitter` now"},
          {{"reach", quick, "--stand", "T"}, "`--stand` is called `--site` now"}}) {
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 2) << words;
        EXPECT_THAT(result.err, HasSubstr(words));
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
    }
}

// One line, whatever else the keys of another version look like.
TEST(BadInput, PlansOfAnotherVersionAreRefusedAsAWhole) {
    expect_refused(
        {"plan_version = \"0.1\"",
         "plan_version = \"9.0\"\nmagnitude = 3",
         "plan_version = \"9.0\"",
         16,
         {"survey.plan_version: found the text \"9.0\"", "allowed \"0.1\", the version this program reads"}});
    const ProgramResult set = run_program(program, {"check", quick, "--set", "survey.plan_version=2"});
    EXPECT_EQ(set.exit_code, 2);
    EXPECT_THAT(set.err, HasSubstr("survey.plan_version: found 2, allowed \"0.1\""));
    EXPECT_EQ(std::count(set.err.begin(), set.err.end(), '\n'), 1) << set.err;
}

// Every number of a command line passes what a plan file's numbers pass; nan as a temperature never ended.
TEST(BadInput, NumbersOfTheCommandLineAreChecked) {
    const std::vector<std::vector<std::string>> wrong{
        {"day", quick, "--temperature", "nan"}, {"day", quick, "--temperature", "inf"},
        {"day", quick, "--temperature", "-51"}, {"day", quick, "--temperature", "1e3"},
        {"day", quick, "--batteries", "-1"},    {"day", quick, "--seed", "99999999999999999999"},
        {"day", quick, "--threads", "0x2"},     {"reach", quick, "--sectors", "0x10"},
        {"reach", quick, "--to", "inf"},        {"reach", quick, "--margin", "nan", "--grid", "100"},
        {"tune", quick, "--margin", "nan"}};
    for (const std::vector<std::string>& arguments : wrong) {
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 2) << testing::PrintToString(arguments);
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
        EXPECT_THAT(result.err, testing::AnyOf(HasSubstr("allowed a finite number"),
                                               HasSubstr("allowed a whole number, 0 or more"),
                                               HasSubstr("allowed -50 to 60 C")))
            << "definition: the range of day.temperature_c";
    }
    EXPECT_EQ(wrong.size(), 11u) << "definition: the list above";
    EXPECT_THAT(run_program(program, {"explain", "day.temperature_c"}).out, HasSubstr("-50 to 60"));
}

TEST(BadInput, NameWithoutItsUnitSuggestsTheKeyWithIt) {
    EXPECT_THAT(run_program(program, {"check", quick, "--set", "loop.a.wire_area=3"}).err,
                HasSubstr("nearest known key \"loop.a.wire_area_mm2\""))
        << "wire_awg is as many letters away";
}

// It was an internal error: loop B has no tap of loop A's.
TEST(BadInput, QuadratureWantsTheSameTapsInBothLoops) {
    const ScratchDirectory scratch;
    std::string text = replaced(read_whole_file(quick), "taps = [1]\n", "taps = [1, 2]\n");
    text = replaced(text, "current_limit_a = 12\n", "current_limit_a = 12\nboth_loops = true\n");
    text = replaced(text, "dwell_s = 10\n", "dwell_s = 10\nloop = \"quadrature\"\n");
    const ProgramResult result = run_program(program, {"check", scratch.write("plan.toml", text)});
    EXPECT_EQ(result.exit_code, 2) << result.out;
    EXPECT_THAT(result.err, HasSubstr("\"quadrature\" with 1, 2, 3 turns in loop A and 1, 3 in loop B"));
}

TEST(BadInput, TheNewPlanIsNotTheOld) {
    const ScratchDirectory scratch;
    const std::string text = read_whole_file(quick), plan = scratch.write("plan.toml", text);
    const ProgramResult result =
        run_program(program, {"tune", plan, "--quick", "--new-plan",
                              scratch.file("../") + scratch.path().filename().string() + "/plan.toml"});
    EXPECT_EQ(result.exit_code, 2) << result.out;
    EXPECT_THAT(result.err, HasSubstr("--new-plan: found"));
    EXPECT_EQ(read_whole_file(plan), text);
}

TEST(BadInput, WrongCommandLines) {
    for (const std::vector<std::string>& arguments : {std::vector<std::string>{},
                                                      {"no_such_command"},
                                                      {"check"},
                                                      {"check", quick, "--no-such-flag"},
                                                      {"check", quick, "--set", "battery"},
                                                      {"check", quick, "--set", "a..b=1"},
                                                      {"check", quick, "--set", "station[9].name=\"x\""},
                                                      {"check", quick, "--set", "station[x].name=\"x\""},
                                                      {"explain", "no.such.key"}}) {
        const ProgramResult result = run_program(program, arguments);
        EXPECT_EQ(result.exit_code, 2) << testing::PrintToString(arguments);
        EXPECT_EQ(std::count(result.err.begin(), result.err.end(), '\n'), 1) << result.err;
        EXPECT_EQ(result.out, "");
    }
}

}  // namespace bad_input_test
