// The tables of docs/core.md say what the code does, row by row, so that the two cannot drift apart.
#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "scheduler/core/sequencer.hpp"
#include "scheduler/run/names.hpp"
#include "tests/paths.hpp"

namespace ampturn::core {
namespace document_test {

using Row = std::vector<std::string>;

/// Rows of the table whose header line is `header`.
std::vector<Row> table_of_document(std::string_view header) {
    std::ifstream document(ampturn::test::source_path("docs/core.md"));
    EXPECT_TRUE(document.is_open());
    std::vector<Row> rows;
    bool inside = false;
    for (std::string line; std::getline(document, line);) {
        if (line == header) {
            inside = true;
            std::getline(document, line);  // the line of dashes
            continue;
        }
        if (!inside) continue;
        if (line.empty() || line.front() != '|') break;
        Row row;
        for (std::size_t at = 1; at < line.size();) {
            const std::size_t bar = line.find(" |", at);
            row.push_back(line.substr(at + 1, bar - at - 1));
            at = bar + 2;
        }
        rows.push_back(row);
    }
    return rows;
}

std::string word(auto value) { return std::string(run::name_of(value)); }

TEST(Manual, ListsEveryEdgeInOrder) {
    std::vector<Row> expected;
    for (const Edge& edge : edges) {
        const char* when = edge.when == When::always ? "always" : edge.when == When::hot ? "hot" : "cool";
        expected.push_back({word(edge.from), word(edge.event), word(edge.to), when});
    }
    EXPECT_EQ(table_of_document("| from | event | to | when |"), expected);
}

TEST(Manual, ListsEveryIndication) {
    std::vector<Row> expected;
    for (std::size_t i = 0; i < state_count; ++i) {
        const StateIndication& shown = state_indications[i];
        EXPECT_EQ(static_cast<std::size_t>(shown.state), i) << "the table is in the order of the states";
        expected.push_back({word(shown.state), word(shown.lamp), word(shown.pattern), word(shown.sounder)});
    }
    EXPECT_EQ(table_of_document("| state | lamp | pattern | sounder |"), expected);
}

TEST(Manual, ListsEveryCauseWithItsCode) {
    const std::vector<Row> rows = table_of_document("| code | cause | trips when | gone when |");
    ASSERT_EQ(rows.size(), trip_count);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        EXPECT_EQ(rows[i][0], std::to_string(i));
        EXPECT_EQ(rows[i][1], word(static_cast<Trip>(i)));
    }
}

TEST(Indicator, NoTwoStatesLookAlikeWithoutColour) {
    // A colour-blind reader has the pattern, the sounder and the word; the word alone must do.
    for (std::size_t i = 0; i < state_count; ++i)
        for (std::size_t j = i + 1; j < state_count; ++j) {
            const StateIndication &a = state_indications[i], &b = state_indications[j];
            EXPECT_TRUE(a.lamp != b.lamp || a.pattern != b.pattern);
            EXPECT_NE(word(a.state), word(b.state));
        }
}

TEST(Indicator, PatternsHaveTheRatesOfTheirNames) {
    const auto period_ms = [](auto t) { return t.pause_ms + (t.on_ms + t.off_ms) * (t.on_ms > 0 ? 1 : 0); };
    EXPECT_EQ(period_ms(timing(Pattern::fast)), 250) << "4 Hz";
    EXPECT_EQ(period_ms(timing(Pattern::slow)), 2'000) << "0.5 Hz";
    EXPECT_EQ(period_ms(timing(Pattern::short_blink)), 3'000) << "one blink every 3 s";
    EXPECT_EQ(period_ms(timing(Sounder::beeps_2_hz)), 500) << "2 Hz";
    EXPECT_EQ(period_ms(timing(Sounder::beep_a_minute)), 60'000);
    EXPECT_EQ(timing(Pattern::double_blink).blinks, 2);
    EXPECT_EQ(timing(Pattern::triple_blink).blinks, 3);
    EXPECT_EQ(timing(Sounder::three_beeps).beeps, 3);
}

}  // namespace document_test
}  // namespace ampturn::core
