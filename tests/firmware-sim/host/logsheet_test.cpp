#include "firmware-sim/host/logsheet.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>

#include "tests/firmware-sim/session/session_bench.hpp"
#include "tests/paths.hpp"

namespace logsheet_test {

using namespace ampturn::sim::host;
using namespace ampturn::sim::record;
using namespace ampturn::sim::session;

LogRead a_sweep() {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    bench.wait_state("standby");
    bench.wait_s(2);
    bench.ask("LIST:FREQ 96,384;CURR 2;DWEL 4;LOOP A,B;TAP 3,2;CAP 0");
    bench.ask("ARM;INIT;*OPC?");
    bench.ask("ARM;INIT");
    bench.wait_state("sending");
    bench.wait_s(2);
    bench.ask("ABOR;*OPC?");
    bench.panel(R"({"remark":"wind, \"gusty\""})");
    bench.session().close("test over");
    LogRead log;
    log.records = bench.records;
    return log;
}

std::vector<std::string> wanted_fields() {
    std::ifstream file(ampturn::test::source_path("tests/reference/field/logsheet_fields.csv"));
    std::vector<std::string> fields;
    std::string line;
    while (std::getline(file, line)) {
        if (line.empty() || line[0] == '#' || line.rfind("group,", 0) == 0) continue;
        const std::size_t begin = line.find(',') + 1;
        const bool quoted = line[begin] == '"';
        const std::size_t end = quoted ? line.find('"', begin + 1) : line.find(',', begin);
        fields.push_back(line.substr(begin + (quoted ? 1 : 0), end - begin - (quoted ? 1 : 0)));
    }
    return fields;
}

TEST(LogSheet, HasEveryFieldThatIsAskedFor) {
    const LogSheet sheet = logsheet_of(a_sweep(), "x");
    const auto wanted = wanted_fields();
    ASSERT_GT(wanted.size(), 20U);
    for (const std::string& field : wanted) {
        const auto found = std::find_if(sheet.fields.begin(), sheet.fields.end(),
                                        [&](const SheetField& one) { return one.field == field; });
        EXPECT_NE(found, sheet.fields.end()) << field;
        const bool ours =
            found != sheet.fields.end() && found->need == SheetField::Need::mandatory && found->group != "rx";
        EXPECT_FALSE(ours && found->value.empty()) << field;
    }
}

TEST(LogSheet, HasTheLinesAsTheyWereSent) {
    // Definition: the table's own frequency and dwell; closed form: rms is peak / sqrt(2).
    const LogSheet sheet = logsheet_of(a_sweep(), "x");
    ASSERT_EQ(sheet.lines.size(), 3U);
    const SheetLine& first = sheet.lines[0];
    EXPECT_EQ(first.polarisation, "A");
    EXPECT_DOUBLE_EQ(first.frequency_hz, 96);
    EXPECT_DOUBLE_EQ(first.duration_s, 4);
    EXPECT_NEAR(std::stod(first.current_a_rms), 2 / std::sqrt(2.0), 0.02);  // the table asks for 2 A peak
    EXPECT_FALSE(first.phase_deg.empty());
    EXPECT_EQ(first.turns, 24);
    EXPECT_EQ(first.start_utc.substr(0, 14), "2026-06-01T08:");
    EXPECT_EQ(sheet.lines[1].turns, 12);
    EXPECT_EQ(sheet.lines[2].remark, "aborted");
    EXPECT_NE(sheet_csv(sheet).find("remark: wind, \"\"gusty\"\""), std::string::npos);
    EXPECT_NE(sheet_html(sheet).find("wind, &quot;gusty&quot;"), std::string::npos);
    EXPECT_EQ(sheet_lines_csv(sheet).substr(0, 13), "sweep_number,");
}

/// The phase in the sheet, worked out again from tick and divisor: the second begins a whole number of ticks
/// after the line does.
TEST(LogSheet, PhaseFollowsFromTheTicks) {
    int lines = 0;
    for (const Record& record : a_sweep().records) {
        if (record.value("what", "") != "line") continue;
        const auto start = record["start_tick"].get<std::uint64_t>(),
                   divisor = record["divisor"].get<std::uint64_t>();
        const std::uint64_t next_second = (start + 23'999'999) / 24'000'000 * 24'000'000;
        EXPECT_EQ(record["drive_phase_at_second_mdeg"].get<std::uint64_t>(),
                  (next_second - start) % divisor * 360'000 / divisor);
        ++lines;
    }
    EXPECT_EQ(lines, 3);
}

}  // namespace logsheet_test
