#include "scheduler/report/day_tables.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <stdexcept>

#include "scheduler/base/csv.hpp"
#include "tests/scheduler/report/synthetic_day.hpp"

namespace ampturn::report {
namespace day_tables_test {

/// Fields of a table after RFC 4180, as another program would read them.
std::vector<std::vector<std::string>> fields_of(const std::string& text) {
    std::vector<std::vector<std::string>> rows;
    std::vector<std::string> row(1);
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted) {
            if (c == '"' && i + 1 < text.size() && text[i + 1] == '"')
                row.back() += text[++i];
            else if (c == '"')
                quoted = false;
            else
                row.back() += c;
        } else if (c == '"') {
            quoted = true;
        } else if (c == ',') {
            row.emplace_back();
        } else if (c == '\n') {
            rows.push_back(row);
            row.assign(1, "");
        } else {
            row.back() += c;
        }
    }
    return rows;
}

const base::NamedText& file(const std::vector<base::NamedText>& files, const std::string& name) {
    const auto found =
        std::find_if(files.begin(), files.end(), [&](const base::NamedText& f) { return f.name == name; });
    if (found == files.end()) throw std::runtime_error("no table " + name);
    return *found;
}

TEST(CsvTable, QuotesAsRfc4180Asks) {
    base::CsvTable csv({"name", "length_m"});
    csv.cell("a \"b\", c").cell(0.1).end_row();
    csv.cell("two\nlines").cell(std::numeric_limits<double>::quiet_NaN()).end_row();
    EXPECT_EQ(csv.text(), "name,length_m\n\"a \"\"b\"\", c\",0.1\n\"two\nlines\",\n");
    csv.cell("x");
    EXPECT_THROW(csv.end_row(), std::logic_error);
}

TEST(DayTables, EveryRowIsFull) {
    const day::DayResult day = synthetic_day();
    const auto files = day_tables(day);
    EXPECT_EQ(files.size(), 9u);
    for (const base::NamedText& f : files) {
        const auto rows = fields_of(f.text);
        ASSERT_GT(rows.size(), 1u) << f.name;
        for (const auto& row : rows) EXPECT_EQ(row.size(), rows[0].size()) << f.name;
        EXPECT_EQ(f.text.find("nan"), std::string::npos) << f.name;
    }
    EXPECT_EQ(fields_of(file(files, "judged.csv").text).size(), 1 + day.readings.size());
    EXPECT_EQ(fields_of(file(files, "battery.csv").text).size(), 1 + day.battery_trace.size());
    std::size_t steps = 0;
    for (const day::SweepOutcome& s : day.sweeps) steps += s.steps.size();
    EXPECT_EQ(fields_of(file(files, "steps.csv").text).size(), 1 + steps);
}

TEST(DayTables, NamesWithCommasAndQuotesComeBack) {
    day::DayResult day = synthetic_day();
    day.stations[0].name = "left, \"upper\" field";
    const auto rows = fields_of(file(day_tables(day), "stations.csv").text);
    EXPECT_EQ(rows[1][0], "left, \"upper\" field");
    EXPECT_EQ(rows[4][0], "S4 & \"brook\"");
}

TEST(DayTables, IndexOutsideTheTableIsEmptyNotACrash) {
    day::DayResult day = synthetic_day();
    day.sweeps[0].steps[0].step_number = 99;
    const auto rows = fields_of(file(day_tables(day), "steps.csv").text);
    EXPECT_EQ(rows[1][5], "");
}

}  // namespace day_tables_test
}  // namespace ampturn::report
