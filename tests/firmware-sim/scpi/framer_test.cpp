#include "firmware-sim/scpi/framer.hpp"

#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace framer_test {

using namespace ampturn::sim::scpi;

std::vector<std::string> frames(std::initializer_list<std::string> pieces) {
    Framer framer;
    std::vector<std::string> out;
    for (const std::string& piece : pieces) {
        framer.feed(piece);
        while (auto frame = framer.next()) out.push_back(frame->overrun ? "overrun" : frame->message);
    }
    return out;
}

TEST(Framer, CutsAtNewlines) {
    EXPECT_EQ(frames({"*IDN?\n*CLS\r\n\nrest"}), (std::vector<std::string>{"*IDN?", "*CLS\r", ""}));
    EXPECT_EQ(frames({"*I", "DN", "?", "\n"}), (std::vector<std::string>{"*IDN?"}));
}

TEST(Framer, NewlinesInABlockAreData) {
    EXPECT_EQ(frames({"X #14a\nb\n\n", "*CLS\n"}), (std::vector<std::string>{"X #14a\nb\n", "*CLS"}));
    EXPECT_EQ(frames({"X \"#15\"\n*CLS\n"}), (std::vector<std::string>{"X \"#15\"", "*CLS"}));
    EXPECT_EQ(frames({"X #HFF\n*CLS\n"}), (std::vector<std::string>{"X #HFF", "*CLS"}));
    EXPECT_EQ(frames({"X #10\n*CLS\n"}), (std::vector<std::string>{"X #10", "*CLS"}));
}

TEST(Framer, ThrowsAwayWhatIsTooLong) {
    const std::string longest(Framer::message_bytes_max, 'A');
    EXPECT_EQ(frames({longest + "\n*CLS\n"}).front(), longest);
    EXPECT_EQ(frames({longest + "A\n*CLS\n"}), (std::vector<std::string>{"overrun", "*CLS"}));
    EXPECT_EQ(frames({"X #9999999999 and so on\n*CLS\n"}), (std::vector<std::string>{"overrun", "*CLS"}));
}

TEST(Framer, MemoryIsBounded) {
    Framer framer;
    for (int i = 0; i < 1000; ++i) {
        framer.feed(std::string(1000, 'A'));
        EXPECT_FALSE(framer.next());
        ASSERT_LE(framer.held(), Framer::message_bytes_max);
    }
}

TEST(Framer, CutsDoNotDependOnThePieces) {
    EXPECT_TRUE(rc::check([](const std::string& bytes, unsigned char step) {
        const std::size_t size = step % 7 + 1U;
        Framer whole, pieces;
        whole.feed(bytes);
        std::vector<std::string> a, b;
        while (auto frame = whole.next()) a.push_back(frame->message);
        for (std::size_t i = 0; i < bytes.size(); i += size) {
            pieces.feed(bytes.substr(i, size));
            while (auto frame = pieces.next()) b.push_back(frame->message);
        }
        RC_ASSERT(a == b);
    }));
}

}  // namespace framer_test
