#include "firmware-sim/net/guard.hpp"

#include <gtest/gtest.h>

using namespace ampturn::sim;

namespace {

TEST(Guard, AnswersToItsOwnNamesOnly) {
    const Guard guard({"127.0.0.1", "localhost", "::1"}, 8025);
    EXPECT_TRUE(guard.host_allowed("127.0.0.1:8025"));
    EXPECT_TRUE(guard.host_allowed("LocalHost:8025"));
    EXPECT_TRUE(guard.host_allowed("[::1]:8025"));
    for (const char* host : {"", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:80250", "evil.example:8025",
                             "127.0.0.1.evil.example:8025", "evil.example#127.0.0.1:8025", "::1:8025"}) {
        EXPECT_FALSE(guard.host_allowed(host)) << host;
    }
    EXPECT_TRUE(Guard({"127.0.0.1"}, 80).host_allowed("127.0.0.1"));
}

TEST(Guard, OriginIsOursOrNone) {
    const Guard guard({"127.0.0.1"}, 8025);
    EXPECT_TRUE(guard.origin_allowed(""));
    EXPECT_TRUE(guard.origin_allowed("http://127.0.0.1:8025"));
    for (const char* origin : {"null", "https://127.0.0.1:8025", "http://127.0.0.1:8026",
                               "http://evil.example", "127.0.0.1:8025", "http://"}) {
        EXPECT_FALSE(guard.origin_allowed(origin)) << origin;
    }
}

TEST(Guard, KnowsLoopbackAddresses) {
    EXPECT_TRUE(is_loopback("127.0.0.1"));
    EXPECT_TRUE(is_loopback("127.8.8.8"));
    EXPECT_TRUE(is_loopback("::1"));
    for (const char* open : {"0.0.0.0", "::", "192.0.2.7", "localhost"})
        EXPECT_FALSE(is_loopback(open)) << open;
}

}  // namespace
