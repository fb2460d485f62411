#include "firmware-sim/net/origin_policy.hpp"

#include <gtest/gtest.h>

namespace origin_policy_test {

using namespace ampturn::sim::net;

TEST(OriginPolicy, AnswersToItsOwnNamesOnly) {
    const OriginPolicy policy({"127.0.0.1", "localhost", "::1"}, 8025);
    EXPECT_TRUE(policy.host_allowed("127.0.0.1:8025"));
    EXPECT_TRUE(policy.host_allowed("LocalHost:8025"));
    EXPECT_TRUE(policy.host_allowed("[::1]:8025"));
    for (const char* host : {"", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:80250", "evil.example:8025",
                             "127.0.0.1.evil.example:8025", "evil.example#127.0.0.1:8025", "::1:8025"}) {
        EXPECT_FALSE(policy.host_allowed(host)) << host;
    }
    EXPECT_TRUE(OriginPolicy({"127.0.0.1"}, 80).host_allowed("127.0.0.1"));
}

TEST(OriginPolicy, OriginIsOursOrNone) {
    const OriginPolicy policy({"127.0.0.1"}, 8025);
    EXPECT_TRUE(policy.origin_allowed(""));
    EXPECT_TRUE(policy.origin_allowed("http://127.0.0.1:8025"));
    for (const char* origin : {"null", "https://127.0.0.1:8025", "http://127.0.0.1:8026",
                               "http://evil.example", "127.0.0.1:8025", "http://"}) {
        EXPECT_FALSE(policy.origin_allowed(origin)) << origin;
    }
}

TEST(OriginPolicy, KnowsLoopbackAddresses) {
    EXPECT_TRUE(is_loopback("127.0.0.1"));
    EXPECT_TRUE(is_loopback("127.8.8.8"));
    EXPECT_TRUE(is_loopback("::1"));
    for (const char* open : {"0.0.0.0", "::", "192.0.2.7", "localhost"})
        EXPECT_FALSE(is_loopback(open)) << open;
}

}  // namespace origin_policy_test
