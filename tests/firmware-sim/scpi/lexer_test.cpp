#include "firmware-sim/scpi/lexer.hpp"

#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace lexer_test {

using namespace ampturn::sim::scpi;
using Kind = Datum::Kind;

struct NumberRow {
    const char* text;
    double value;
    const char* suffix;
    const char* source;
};
// IEEE 488.2-1992, 7.7.2 to 7.7.4 (from memory): decimal, exponent, suffix, non-decimal.
constexpr NumberRow numbers[] = {
    {"1", 1, "", "NR1"},
    {"+12", 12, "", "sign"},
    {"-1.5", -1.5, "", "NR2"},
    {".5", 0.5, "", "no digit before the point"},
    {"5.", 5, "", "no digit after the point"},
    {"-.25e1", -2.5, "", "NR3"},
    {"1.5E3", 1500, "", "NR3"},
    {"1.5 E 3", 1500, "", "white space may stand around E"},
    {"2.5 KHZ", 2.5, "KHZ", "suffix after white space"},
    {"2.5kHz", 2.5, "KHZ", "suffix without, any case"},
    {"800 MA", 800, "MA", "suffix"},
    {"1E3MA", 1000, "MA", "exponent and suffix"},
    {"1 EX", 1, "EX", "E that begins a suffix"},
    {"1E-400", 0, "", "too small is zero"},
    {"#HfF", 255, "", "hexadecimal"},
    {"#Q17", 15, "", "octal"},
    {"#b101", 5, "", "binary"},
};

TEST(Lexer, ReadsNumbers) {
    for (const NumberRow& row : numbers) {
        const Message message = lex(std::string("X ") + row.text);
        ASSERT_FALSE(message.error) << row.text << ": " << format_error(*message.error);
        ASSERT_EQ(message.commands.size(), 1U) << row.text;
        const Datum& datum = message.commands[0].data.at(0);
        EXPECT_EQ(datum.kind, Kind::number) << row.text;
        EXPECT_EQ(datum.number, row.value) << row.text << " " << row.source;
        EXPECT_EQ(datum.text, row.suffix) << row.text << " " << row.source;
    }
}

struct ErrorRow {
    const char* text;
    ErrorCode code;
};
// Numbers: SCPI-99, volume 2, 21.8 (from memory).
constexpr ErrorRow errors[] = {
    {"\xFF", ErrorCode::invalid_character},
    {"LIST:FREQ \x80", ErrorCode::invalid_character},
    {"LIST::FREQ", ErrorCode::syntax_error},
    {"LIST:", ErrorCode::syntax_error},
    {"1LIST", ErrorCode::syntax_error},
    {"**RST", ErrorCode::syntax_error},
    {"LIST:FREQ 1 2", ErrorCode::invalid_separator},
    {"LIST:FREQ 1,,2", ErrorCode::syntax_error},
    {"LIST:FREQ 1,", ErrorCode::missing_parameter},
    {"*ESE?,1", ErrorCode::header_separator_error},
    {"ABCDEFGHIJKLM", ErrorCode::mnemonic_too_long},
    {"X +", ErrorCode::invalid_character_in_number},
    {"X #H", ErrorCode::invalid_character_in_number},
    {"X #HG", ErrorCode::invalid_character_in_number},
    {"X 1E32001", ErrorCode::exponent_too_large},
    {"X 1E400", ErrorCode::exponent_too_large},
    {"X #HFFFFFFFFFFFFFFFFF", ErrorCode::too_many_digits},
    {"X 1 ABCDEFGHIJKLM", ErrorCode::suffix_too_long},
    {"X ABCDEFGHIJKLM", ErrorCode::character_data_too_long},
    {"X \"open", ErrorCode::invalid_string_data},
    {"X #15ab", ErrorCode::invalid_block_data},
    {"X #2", ErrorCode::invalid_block_data},
    {"X #", ErrorCode::invalid_block_data},
    {"X (1", ErrorCode::invalid_expression},
};

TEST(Lexer, NamesWhatIsWrong) {
    for (const ErrorRow& row : errors) {
        const Message message = lex(row.text);
        ASSERT_TRUE(message.error) << row.text;
        EXPECT_EQ(message.error->code, row.code) << row.text << ": " << format_error(*message.error);
    }
}

TEST(Lexer, KeepsUnitsBeforeTheError) {
    const Message message = lex("*CLS;LIST:FREQ? MAX; ;:ABOR;%");
    ASSERT_EQ(message.commands.size(), 3U);
    EXPECT_TRUE(message.commands[0].common);
    EXPECT_TRUE(message.commands[1].query);
    EXPECT_EQ(message.commands[1].header, (std::vector<std::string>{"LIST", "FREQ"}));
    EXPECT_EQ(message.commands[1].data.at(0).text, "MAX");
    EXPECT_TRUE(message.commands[2].from_root);
    EXPECT_TRUE(message.error);
}

TEST(Lexer, StringsKeepQuotesAndSemicolons) {
    const Message message = lex("X \"a;\"\"b\"\"\",'it''s'");
    ASSERT_FALSE(message.error);
    EXPECT_EQ(message.commands.at(0).data.at(0).text, "a;\"b\"");
    EXPECT_EQ(message.commands.at(0).data.at(1).text, "it's");
}

TEST(Lexer, BlocksHoldAnyByte) {
    const std::string bytes("a\n;\"#\0\xFF", 7);
    const Message message = lex("X #17" + bytes + ",2");
    ASSERT_FALSE(message.error);
    EXPECT_EQ(message.commands.at(0).data.at(0).text, bytes);
    EXPECT_EQ(message.commands.at(0).data.at(1).number, 2);
}

TEST(Lexer, BoundsTheWorkOfALine) {
    std::string line;
    for (std::size_t i = 0; i <= units_per_message_max; ++i) line += "*CLS;";
    const Message message = lex(line);
    EXPECT_EQ(message.commands.size(), units_per_message_max);
    ASSERT_TRUE(message.error);
    EXPECT_EQ(message.error->code, ErrorCode::too_much_data);
}

TEST(Lexer, SurvivesAnyBytes) {
    EXPECT_TRUE(rc::check([](const std::string& bytes) {
        const Message message = lex(bytes);
        if (message.error) RC_ASSERT(static_cast<int>(message.error->code) <= -100);
    }));
}

}  // namespace lexer_test
