#include "scheduler/plan/tree/edit_text.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/plan/explain/plan_json.hpp"
#include "tests/paths.hpp"

namespace edit_text_test {

using namespace ampturn::plan;
using tree::parse_toml;
using tree::Setting;
using tree::with_settings;

nlohmann::ordered_json given(const std::string& text) {
    return explain::given_json(parse_toml(text, "text"));
}

/// The edited text reads back as the tree with the setting applied.
void expect_edit_is_setting(const std::string& text, const Setting& setting) {
    tree::Value tree = parse_toml(text, "text");
    apply_setting(tree, setting);
    EXPECT_EQ(given(with_settings(text, "text", {setting})), explain::given_json(tree))
        << setting.key << " = " << setting.value;
}

TEST(EditText, OnlyTheValueIsWrittenAnew) {
    const std::string text =
        "# head\n[a]   # of a\nx = 1  # one\ny = [ 1, 2,\n  3 ] # three\n[[b]]\nname = \"\xc3\xa4\xc3\xb6\"; z = 1\n";
    const std::string good =
        "# head\n[a]   # of a\nx = 1  # one\ny = [ 1, 2,\n  3 ] # three\n[[b]]\nname = \"\xc3\xa4\xc3\xb6\" # \xc3\xbc\n";
    EXPECT_EQ(
        with_settings(good, "t", {{"a.x", "25"}}),
        "# head\n[a]   # of a\nx = 25  # one\ny = [ 1, 2,\n  3 ] # three\n[[b]]\nname = \"\xc3\xa4\xc3\xb6\" # \xc3\xbc\n");
    EXPECT_EQ(
        with_settings(good, "t", {{"a.y[2]", "7.5"}, {"b[1].name", "\"east\""}}),
        "# head\n[a]   # of a\nx = 1  # one\ny = [ 1, 7.5,\n  3 ] # three\n[[b]]\nname = \"east\" # \xc3\xbc\n");
    EXPECT_EQ(
        with_settings(good, "t", {{"a.y", "[9]"}}),
        "# head\n[a]   # of a\nx = 1  # one\ny = [9] # three\n[[b]]\nname = \"\xc3\xa4\xc3\xb6\" # \xc3\xbc\n");
    EXPECT_THROW(with_settings(text, "t", {{"a.x", "25"}}), ampturn::base::InputError) << "no TOML";
}

TEST(EditText, AKeyThatIsNotThereGetsALineInItsTable) {
    EXPECT_EQ(with_settings("[a]\nx = 1 # one\n\n[b]\ny = 2\n", "t", {{"a.z", "3"}}),
              "[a]\nx = 1 # one\nz = 3\n\n[b]\ny = 2\n");
    EXPECT_EQ(with_settings("[a]\n\n[b]\ny = 2", "t", {{"b.z", "word"}, {"a.x", "1"}}),
              "[a]\nx = 1\n\n[b]\ny = 2\nz = \"word\"\n");
    EXPECT_EQ(with_settings("[a]\nx = 1\n", "t", {{"c.d", "true"}}), "[a]\nx = 1\n\n[c]\nd = true\n");
    EXPECT_EQ(with_settings("a = {x = 1}\n", "t", {{"a.y", "2"}}), "a = {x = 1 , y = 2 }\n");
    EXPECT_EQ(with_settings("[[s]]\nn = 1\n[[s]]\nn = 2\n", "t", {{"s[1].m", "5"}}),
              "[[s]]\nn = 1\nm = 5\n[[s]]\nn = 2\n");
    EXPECT_EQ(with_settings("", "t", {{"x", "1"}}), "x = 1\n");
}

TEST(EditText, EveryValueOfTheDemosCanBeWrittenAnew) {
    // Identity: an edit of the text is the setting of --set, whatever the key; comments stay, so do all other lines.
    std::size_t edits = 0;
    for (const char* name : {"demo/quick.toml", "demo/vesslarook.toml"}) {
        const std::string text = ampturn::base::read_input_file(ampturn::test::source_path(name));
        const nlohmann::ordered_json values = given(text);
        const std::function<void(const nlohmann::ordered_json&, const std::string&)> walk =
            [&](const auto& node, const std::string& key) {
                if (node.is_object()) {
                    for (const auto& [child, value] : node.items())
                        walk(value, key.empty() ? child : key + "." + child);
                    if (!key.empty()) expect_edit_is_setting(text, {key + ".not_there", "1.5"});
                } else if (node.is_array()) {
                    for (std::size_t i = 0; i < node.size(); ++i)
                        walk(node[i], key + "[" + std::to_string(i + 1) + "]");
                } else {
                    constexpr const char* written[] = {"7.25", "\"a word\"", "[1, 2]", "06:30:00"};
                    expect_edit_is_setting(text, {key, written[edits++ % 4]});
                }
            };
        walk(values, "");
    }
    EXPECT_GT(edits, 150u);
}

}  // namespace edit_text_test
