#include "firmware-sim/record/session_log.hpp"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <system_error>

namespace session_log_test {

using namespace ampturn::sim::record;

Record record(std::uint64_t n, const std::string& text) {
    return {{"n", n}, {"tick", n * 1000}, {"what", "note"}, {"text", text}};
}

class TemporaryFolder {
  public:
    TemporaryFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "ampturn-log-XXXXXX").string();
        path_ = ::mkdtemp(name.data());
    }
    ~TemporaryFolder() { std::filesystem::remove_all(path_); }
    std::filesystem::path operator/(const char* name) const { return path_ / name; }

  private:
    std::filesystem::path path_;
};

TEST(SessionLog, LinesCloseWithTheirChecksum) {
    // Independent, Python's zlib.crc32: of '00000000{"n":1' and of the first value's text and '{"n":2'.
    RunningCheck check;
    EXPECT_EQ(line_of(Record{{"n", 1}}, check), "{\"n\":1,\"crc\":\"6498541A\"}\n");
    EXPECT_EQ(line_of(Record{{"n", 2}}, check), "{\"n\":2,\"crc\":\"DFF0BE1D\"}\n");
}

TEST(SessionLog, ReadsBackWhatWasWritten) {
    const TemporaryFolder folder;
    {
        SessionLog log(folder / "a.jsonl");
        for (std::uint64_t n = 1; n <= 100; ++n)
            log.append(record(n, "text \"quoted\" \\ " + std::to_string(n)));
    }
    const LogRead read = read_log(folder / "a.jsonl");
    EXPECT_EQ(read.damage, "");
    ASSERT_EQ(read.records.size(), 100U);
    EXPECT_EQ(read.records[41], record(42, "text \"quoted\" \\ 42"));
}

TEST(SessionLog, ValuesOfAnotherKindAreDamage) {
    const std::vector<std::pair<Record, std::string>> wrong{
        {{{"n", "1"}}, "n"},
        {{{"n", 1}, {"tick", "0"}}, "tick"},
        {{{"n", 1}, {"tick", -1}}, "tick"},
        {{{"n", 1}, {"tick", 1e300}}, "tick"},
        {{{"n", 1}, {"tick", 1}, {"utc", 5}}, "utc"},
        {{{"n", 1}, {"what", nullptr}}, "what"},
        {{{"n", 1}, {"complete", 1}}, "complete"},
        {{{"n", 1}, {"battery_mv", 2.5}}, "battery_mv"},
    };
    ASSERT_EQ(wrong.size(), 8U);
    for (const auto& [record, key] : wrong) {
        RunningCheck check;
        const LogRead read = read_log_text(line_of(record, check));
        EXPECT_NE(read.damage.find("its " + key + " is"), std::string::npos) << read.damage;
        EXPECT_EQ(read.damage_line, 1U);
        EXPECT_TRUE(read.records.empty());
    }
}

TEST(SessionLog, NamesThatAreNotUtf8AreWrittenWithMarks) {
    RunningCheck check;
    const LogRead read = read_log_text(line_of(Record{{"n", 1}, {"plan_path", "caf\xe9.toml"}}, check));
    ASSERT_EQ(read.records.size(), 1U);
    EXPECT_EQ(read.records[0]["plan_path"], "caf\xef\xbf\xbd.toml");  // definition: U+FFFD in UTF-8
}

TEST(SessionLog, NeverWritesOverAFile) {
    const TemporaryFolder folder;
    { std::ofstream(folder / "a.jsonl") << "mine"; }
    EXPECT_THROW(SessionLog(folder / "a.jsonl"), std::system_error);
    EXPECT_THROW(SessionLog(folder / "missing/a.jsonl"), std::system_error);
}

TEST(SessionLog, CutAnywhereItReadsUpToTheLastWholeRecord) {
    std::string bytes;
    std::vector<std::size_t> ends{0};
    RunningCheck check;
    for (std::uint64_t n = 1; n <= 5; ++n) {
        bytes += line_of(record(n, "x"), check);
        ends.push_back(bytes.size());
    }
    for (std::size_t cut = 0; cut <= bytes.size(); ++cut) {
        const LogRead read = read_log_text(std::string_view(bytes).substr(0, cut));
        std::size_t whole = 0;
        while (whole + 1 < ends.size() && ends[whole + 1] <= cut) ++whole;
        ASSERT_EQ(read.records.size(), whole) << "cut at " << cut;
        ASSERT_EQ(read.good_bytes, ends[whole]);
        ASSERT_EQ(read.damage.empty(), cut == ends[whole]) << "cut at " << cut;
        ASSERT_FALSE(read.inside) << "cut at " << cut;
    }
}

TEST(SessionLog, EveryFlippedByteIsNoticed) {
    std::string bytes;
    RunningCheck check;
    std::size_t last_line = 0;
    for (std::uint64_t n = 1; n <= 3; ++n) {
        last_line = bytes.size();
        bytes += line_of(record(n, "abc"), check);
    }
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        std::string damaged = bytes;
        damaged[i] = static_cast<char>(damaged[i] ^ 0x04);
        const LogRead read = read_log_text(damaged);
        ASSERT_LT(read.records.size(), 3U) << "byte " << i;
        ASSERT_FALSE(read.damage.empty());
        if (i + 1 < last_line) {
            ASSERT_TRUE(read.inside) << "byte " << i;
        }
    }
}

TEST(SessionLog, LostLinesAreNoticed) {
    // A line taken out, two exchanged, one copied from another log: each line is whole by itself.
    RunningCheck check, other;
    const std::string one = line_of(record(1, "a"), check), two = line_of(record(2, "b"), check),
                      three = line_of(record(3, "c"), check);
    (void)line_of(record(1, "z"), other);
    const std::string foreign = line_of(record(2, "b"), other);
    for (const std::string& bytes :
         {one + three, one + three + two, one + foreign + three, two + one + three}) {
        const LogRead read = read_log_text(bytes);
        EXPECT_LT(read.records.size(), 2U);
        EXPECT_NE(read.damage, "");
    }
    EXPECT_TRUE(read_log_text(one + foreign + three).inside);
}

TEST(SessionLog, EndsAtItsQuotaAndSaysSo) {
    const TemporaryFolder folder;
    SessionLog log(folder / "a.jsonl", 2000);
    std::uint64_t n = 1;
    while (log.append(record(n, "some text that takes its room"))) ASSERT_LT(++n, 100U);
    EXPECT_TRUE(log.full());
    EXPECT_FALSE(log.append(record(n + 1, "x")));
    EXPECT_LE(std::filesystem::file_size(folder / "a.jsonl"), 2000U);
    const LogRead read = read_log(folder / "a.jsonl");
    EXPECT_EQ(read.damage, "");
    ASSERT_EQ(read.records.size(), n);
    EXPECT_EQ(read.records.back()["what"], "full");
    EXPECT_EQ(read.records.back()["bytes_max"], 2000);
}

TEST(SessionLog, AnyBytesCanBeKeptAsText) {
    EXPECT_TRUE(
        rc::check([](const std::string& bytes) { RC_ASSERT(text_of_printable(printable(bytes)) == bytes); }));
    EXPECT_EQ(printable("*IDN?"), "*IDN?");
    EXPECT_EQ(printable("\r"), "hex:0D");
    EXPECT_EQ(text_of_printable(printable("hex:0D")), "hex:0D");
}

}  // namespace session_log_test
