#include "scheduler/base/nesting.hpp"

#include <gtest/gtest.h>

#include <string>

namespace nesting_test {

using namespace ampturn::base;

std::string repeated(const std::string& piece, int count) {
    std::string text;
    for (int i = 0; i < count; ++i) text += piece;
    return text;
}

TEST(Nesting, JsonMayGoAsDeepAsTheLimitAndNoDeeper) {
    const std::string deepest = repeated("[", nesting_max) + repeated("]", nesting_max);
    EXPECT_FALSE(json_nested_too_deep(deepest));
    EXPECT_FALSE(json_nested_too_deep(repeated("[{}]", 1000)));
    EXPECT_EQ(json_nested_too_deep("{\"a\":" + deepest),
              5u + nesting_max - 1);  // definition: the byte of the bracket too many
    EXPECT_FALSE(json_nested_too_deep("\"\\\"" + repeated("[", 1000) + "\""));
    EXPECT_FALSE(json_nested_too_deep("\""));
}

TEST(Nesting, XmlCountsElementsAndLeavesCommentsAndTextAside) {
    EXPECT_FALSE(xml_nested_too_deep(repeated("<a>", nesting_max)));
    EXPECT_TRUE(xml_nested_too_deep(repeated("<a>", nesting_max + 1)));
    EXPECT_FALSE(xml_nested_too_deep(repeated("<a></a>", 1000)));
    EXPECT_FALSE(xml_nested_too_deep(repeated("<a b='>'/>", 1000)));
    EXPECT_FALSE(xml_nested_too_deep("<!--" + repeated("<a>", 1000) + "--><?xml?>"));
    EXPECT_FALSE(xml_nested_too_deep("<![CDATA[" + repeated("<a>", 1000) + "]]>"));
    for (const char* open : {"<", "<!--", "<a b='", "<?", "</"}) EXPECT_FALSE(xml_nested_too_deep(open));
}

TEST(Nesting, TomlKeysMayHaveSoManyNames) {
    const std::string most = repeated("a.", key_parts_max - 1) + "a", more = "a." + most;
    EXPECT_FALSE(toml_key_too_long(most + " = 1\n" + most + " = 2\n"));
    EXPECT_TRUE(toml_key_too_long(more + " = 1"));
    EXPECT_TRUE(toml_key_too_long("[" + more + "]"));
    EXPECT_TRUE(toml_key_too_long("a = {" + more + " = 1}"));
    EXPECT_TRUE(toml_key_too_long("\"a\"." + most + " = 1"));
    EXPECT_FALSE(toml_key_too_long("# " + more + "\na = \"" + more + "\"\nb = '" + more + "'\nc = \"\"\"\n" +
                                   more + "\"\"\""));
    EXPECT_FALSE(toml_key_too_long("a = [1.5, 2.5" + repeated(", 3.5", 100) + "]"));
}

}  // namespace nesting_test
