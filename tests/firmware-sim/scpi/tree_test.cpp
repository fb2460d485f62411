#include "firmware-sim/scpi/tree.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

namespace tree_test {

using namespace ampturn::sim::scpi;

Tree sample() {
    Tree tree;
    int id = 0;
    for (const char* pattern :
         {"*CLS", "*IDN?", "[SOURce]:LIST:FREQuency", "[SOURce]:LIST:FREQuency?",
          "[SOURce]:LIST:FREQuency:POINts?", "[SOURce]:LIST:CURRent", "SYSTem:ERRor[:NEXT]?",
          "SYSTem:VERSion?", "INITiate[:IMMediate]", "MEASure:VOLTage[:DC]?"}) {
        tree.add(pattern, id++);
    }
    return tree;
}

/// Ids of the units of a message; -1 for an unknown header.
std::vector<int> ids(std::string_view line) {
    const Tree tree = sample();
    Tree::Position position;
    std::vector<int> found;
    for (const Command& command : lex(line).commands)
        found.push_back(tree.find(command, position).value_or(-1));
    return found;
}

struct Row {
    const char* line;
    std::vector<int> expected;
    const char* source;
};

// SCPI-99, volume 1, 6.2 (from memory): forms, optional nodes, and how a compound message walks the tree.
TEST(Tree, FollowsTheRulesOfTheTree) {
    const std::vector<Row> rows = {
        {"SOURCE:LIST:FREQUENCY 1", {2}, "long forms"},
        {"sour:list:freq 1", {2}, "short forms, lower case"},
        {"SOUR:LIST:FREQUEN 1", {-1}, "neither the short nor the long form"},
        {"LIST:FREQ 1", {2}, "default node left out"},
        {"LIST:FREQ?", {3}, "query"},
        {"LIST:FREQ 1;CURR 2", {2, 5}, "second header continues at LIST"},
        {"LIST:FREQ 1;:LIST:CURR 2", {2, 5}, "leading colon starts at the root"},
        {"LIST:FREQ 1;LIST:CURR 2", {2, -1}, "there is no LIST below LIST"},
        {"LIST:FREQ 1;*CLS;CURR 2", {2, 0, 5}, "a common command leaves the position alone"},
        {"LIST:FREQ:POIN?;:SYST:ERR?", {4, 6}, "deeper, then root"},
        {"SYST:ERR?;VERS?", {6, 7}, "last mnemonic is dropped"},
        {"SYST:ERR:NEXT?;NEXT?", {6, 6}, "position is SYST:ERR as written"},
        {"INIT;INIT:IMM", {8, 8}, "a one-word header leaves the position at the root"},
        {"MEAS:VOLT?;VOLT:DC?", {9, 9}, "optional last node"},
        {"SYST:ERR", {-1}, "query only"},
        {"*IDN", {-1}, "query only"},
    };
    for (const Row& row : rows) EXPECT_EQ(ids(row.line), row.expected) << row.line << " " << row.source;
}

TEST(Tree, RefusesToHoldAPatternTwice) {
    Tree tree = sample();
    EXPECT_THROW(tree.add("*CLS", 99), std::logic_error);
}

}  // namespace tree_test
