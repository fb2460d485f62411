#include "firmware-sim/net/http_line.hpp"

#include <gtest/gtest.h>

namespace http_line_test {

using ampturn::sim::net::is_http_line;

TEST(HttpLine, RequestsAndHeadersAreKnown) {
    for (const char* line : {"POST / HTTP/1.1", "GET /a?b=c HTTP/1.0", "OPTIONS * HTTP/2", "post /x HTTP/1.1",
                             "Host: 127.0.0.1:5025", "Content-Type: text/plain", "Sec-Fetch-Mode: no-cors",
                             "PUT :SOUR HTTP/1.1\r"})
        EXPECT_TRUE(is_http_line(line)) << line;
}

TEST(HttpLine, TheLanguageIsNot) {
    for (const char* line :
         {"*IDN?", "ARM;INIT", ":SOUR:LIST:FREQ 975,2825", "SOUR:LIST:FREQ 1;:ABOR", "SYST:PASS:CEN \"HTTP\"",
          "SOUR:LIST:IMAG #15HTTP/", "", ":", "LIST:LOOP A, B", "MEAS:VOLT? ; :SYST:ERR?"})
        EXPECT_FALSE(is_http_line(line)) << line;
}

}  // namespace http_line_test
