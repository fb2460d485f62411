#include "scheduler/report/draw_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "scheduler/base/input_error.hpp"

namespace ampturn::report {
namespace draw_rows_test {

tune::DayInputs inputs() {
    return {.plan_path = "plan.toml",
            .plan_text = "title = \"x\"\n# a comment, \\ and \xc3\xa5\n",
            .settings = {"battery.capacity_ah=30"},
            .start = "07:30",
            .temperature_c = -12.5,
            .batteries = {},
            .without = {"far"},
            .seed = 18'000'000'000'000'000'001ULL};
}

day::DayDraw draw(std::mt19937& random) {
    const auto number = [&] { return std::ldexp(double(random()), -40) * (random() % 2 == 0 ? 1 : -1) / 3; };
    day::DayDraw out;
    for (int i = 0; i < 5; ++i) out.inputs.push_back(number());
    out.completed = random() % 2 == 0;
    out.battery_short = random() % 2 == 0;
    out.energy_wh = number();
    out.lowest_v = random() % 4 == 0 ? std::numeric_limits<double>::infinity() : number();
    out.end_s = number();
    out.passed_count = double(random() % 20);
    out.batteries_used = 2;
    for (int i = 0; i < 9; ++i) out.usable.push_back(random() % 2 == 0);
    for (int i = 0; i < 4; ++i) {
        out.battery.charge_fraction.push_back(number());
        out.battery.lowest_v.push_back(i == 2 ? std::numeric_limits<double>::quiet_NaN() : number());
    }
    return out;
}

void expect_same(const day::DayDraw& a, const day::DayDraw& b) {
    EXPECT_EQ(a.inputs, b.inputs);
    EXPECT_EQ(a.completed, b.completed);
    EXPECT_EQ(a.battery_short, b.battery_short);
    EXPECT_EQ(a.energy_wh, b.energy_wh);
    EXPECT_EQ(a.lowest_v, b.lowest_v);
    EXPECT_EQ(a.end_s, b.end_s);
    EXPECT_EQ(a.passed_count, b.passed_count);
    EXPECT_EQ(a.batteries_used, b.batteries_used);
    EXPECT_EQ(a.usable, b.usable);
    EXPECT_EQ(a.battery.charge_fraction, b.battery.charge_fraction);
    ASSERT_EQ(a.battery.lowest_v.size(), b.battery.lowest_v.size());
    for (std::size_t i = 0; i < a.battery.lowest_v.size(); ++i)
        EXPECT_TRUE(a.battery.lowest_v[i] == b.battery.lowest_v[i] ||
                    (std::isnan(a.battery.lowest_v[i]) && std::isnan(b.battery.lowest_v[i])));
}

struct Part {
    std::string text;
    std::vector<day::DayDraw> draws;
};
Part part(int first, int count, const tune::DayInputs& of = inputs()) {
    Part out{draws_head_line({of, {first, count}}), {}};
    std::mt19937 random(static_cast<unsigned>(first + 1));
    for (int run = first; run < first + count; ++run) {
        out.draws.push_back(draw(random));
        out.text += draw_line(run, out.draws.back());
    }
    return out;
}

std::string refusal(const std::vector<std::string>& texts, int runs = 0) {
    try {
        std::vector<DrawsPart> parts;
        std::vector<std::string> files;
        for (const std::string& text : texts) {
            files.push_back(std::string(1, static_cast<char>('a' + files.size())));
            parts.push_back(read_draws(text, files.back()));
        }
        (void)merged_draws(std::move(parts), files, runs);
    } catch (const base::InputError& error) {
        return text_of(error.problems().front());
    }
    return {};
}

TEST(DrawRows, ReadBackToTheBitAndInOrder) {
    const Part a = part(0, 7), b = part(7, 4);
    const DrawsPart read = read_draws(b.text, "b");
    EXPECT_EQ(read.head.inputs, inputs());
    EXPECT_EQ(read.head.range.first, 7);
    EXPECT_EQ(read.head.range.count, 4);
    const auto all = merged_draws({read, read_draws(a.text, "a")}, {"b", "a"}, 11);
    ASSERT_EQ(all.size(), 11u);
    for (std::size_t i = 0; i < 11; ++i) expect_same(all[i], i < 7 ? a.draws[i] : b.draws[i - 7]);
}

TEST(DrawRows, NameWhatIsMissing) {
    const std::string a = part(0, 5).text, b = part(5, 5).text, c = part(10, 3).text;
    EXPECT_EQ(refusal({c, a, b}, 13), "");
    EXPECT_NE(refusal({a, c}).find("no part with the runs 5 to 9"), std::string::npos);
    EXPECT_NE(refusal({b}).find("no part with the runs 0 to 4"), std::string::npos);
    EXPECT_NE(refusal({a, b}, 13).find("no part with the runs 10 to 12"), std::string::npos);
    EXPECT_NE(refusal({a, b, c}, 12).find("13 runs in all"), std::string::npos);
    EXPECT_NE(refusal({a, b, b}).find("runs from 5 on"), std::string::npos);
    // A part that died: its last lines gone, in the middle of one.
    const std::string died = b.substr(0, b.rfind('\n', b.size() - 2) - 20);
    EXPECT_NE(refusal({a, died, c}).find("b: found 3 of 5 runs: the part ended early, 8 to 9 missing"),
              std::string::npos)
        << refusal({a, died, c});
}

TEST(DrawRows, SayThatItIsTheHeadWhoseNumberIsNone) {
    for (const char* number : {"\"first\":0", "\"count\":5"}) {
        std::string text = part(0, 5).text;
        const std::size_t at = text.find(number);
        ASSERT_NE(at, std::string::npos);
        text.replace(at + std::string_view(number).size() - 1, 1, "\"x\"");
        EXPECT_TRUE(refusal({text}).starts_with("a:1: ")) << refusal({text});
    }
}

TEST(DrawRows, RefuseNumbersThatAreNotWhole) {
    for (const char* number : {"\"batteries\":null", "\"seed\":18000000000000000001"})
        for (const char* other : {"-1e300", "1.5", "-1", "[]"}) {
            std::string text = part(0, 5).text;
            const std::string_view pair = number;
            const std::size_t at = text.find(pair);
            ASSERT_NE(at, std::string::npos);
            text.replace(at, pair.size(), std::string(pair.substr(0, pair.find(':') + 1)) + other);
            EXPECT_TRUE(refusal({text}).starts_with("a:1: ")) << refusal({text});
            EXPECT_NE(refusal({text}).find("allowed a whole number, 0 to "), std::string::npos)
                << refusal({text});
        }
}

TEST(DrawRows, RefuseRowsOutOfOrderAndMoreThanTheHeadNames) {
    const Part five = part(0, 5);
    EXPECT_NE(refusal({five.text + draw_line(5, five.draws[0])}).find("run 5"), std::string::npos);
    std::string swapped = draws_head_line({inputs(), {0, 5}});
    for (const int run : {0, 2, 1, 3, 4})
        swapped += draw_line(run, five.draws[static_cast<std::size_t>(run)]);
    EXPECT_NE(refusal({swapped}).find("a:3: found run 2, allowed run 1"), std::string::npos)
        << refusal({swapped});
}

TEST(DrawRows, RefuseWhatDoesNotBelongTogether) {
    const std::string a = part(0, 5).text;
    tune::DayInputs other = inputs();
    other.seed = 2;
    EXPECT_NE(refusal({a, part(5, 5, other).text}).find("another seed"), std::string::npos);
    other = inputs();
    other.plan_text += "# more\n";
    EXPECT_NE(refusal({a, part(5, 5, other).text}).find("another plan"), std::string::npos);
    EXPECT_NE(refusal({""}).find("a:1: found nothing"), std::string::npos);
    EXPECT_NE(refusal({"{\"x\":1}\n"}).find("a:1:"), std::string::npos);
    EXPECT_NE(refusal({a + "{\"run\":9}\n"}).find("a:7:"), std::string::npos);
    std::string version = a;
    version.replace(version.find("\"version\":\"") + 11, 1, "9");
    EXPECT_NE(refusal({version}).find("of version 9"), std::string::npos) << refusal({version});
    std::string number = a;
    number.replace(number.find("\"end_s\":") + 8, 1, "\"");
    EXPECT_NE(refusal({number}).find("a:2:"), std::string::npos);
}

}  // namespace draw_rows_test
}  // namespace ampturn::report
