#include "scheduler/base/secret.hpp"

#include <gtest/gtest.h>

namespace secret_test {

using namespace ampturn::base;

TEST(Secret, IsComparedWholeAndMadeAnew) {
    EXPECT_TRUE(same_secret("abc", "abc"));
    for (const char* other : {"", "ab", "abcd", "abd", "ABC"})
        EXPECT_FALSE(same_secret(other, "abc")) << other;
    EXPECT_FALSE(same_secret("", "abc"));
    const std::string token = new_token();
    EXPECT_EQ(token.size(), 32U);
    EXPECT_NE(token, new_token());
}

}  // namespace secret_test
