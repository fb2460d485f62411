#include "firmware-sim/net/http_response.hpp"

#include <gtest/gtest.h>

namespace http_response_test {

using namespace ampturn::sim::net;

HttpResponse ask(const std::string& method, const std::string& target,
                 const std::string& host = "127.0.0.1:8025", const std::string& origin = "",
                 bool body = false, bool websocket = false) {
    return response_to({method, target, host, origin, body, websocket}, OriginPolicy({"127.0.0.1"}, 8025));
}

TEST(HttpResponse, GivesThePagesAndNothingElse) {
    for (const char* path :
         {"/", "/instructor", "/debrief", "/style.css", "/front.js", "/echarts.min.js", "/?token=x"}) {
        const HttpResponse response = ask("GET", path);
        EXPECT_EQ(response.status, 200) << path;
        EXPECT_GT(response.body.size(), 100U) << path;
    }
    EXPECT_EQ(ask("GET", "/front.html").status, 404);
    EXPECT_EQ(ask("GET", "/../../etc/passwd").status, 404);
    EXPECT_EQ(ask("GET", "").status, 404);
    EXPECT_EQ(ask("DELETE", "/").status, 405);
    EXPECT_EQ(ask("GET", "/", "evil.example").status, 421);
    EXPECT_EQ(ask("GET", "/", "127.0.0.1:8025", "http://evil.example").status, 403);
    EXPECT_EQ(ask("GET", "/", "127.0.0.1:8025", "", true).status, 413);
    EXPECT_EQ(ask("GET", "/ws").status, 426);
    EXPECT_TRUE(ask("GET", "/ws", "127.0.0.1:8025", "", false, true).upgrade);
    EXPECT_TRUE(ask("HEAD", "/").head_only);
}

TEST(HttpResponse, PagesMayOnlyUseTheirOwnServer) {
    for (const auto& [name, value] : ask("GET", "/").headers) {
        if (name == "Content-Security-Policy") {
            EXPECT_NE(value.find("default-src 'none'"), std::string::npos);
            EXPECT_NE(value.find("frame-ancestors 'none'"), std::string::npos);
            return;
        }
    }
    FAIL() << "no policy";
}

}  // namespace http_response_test
