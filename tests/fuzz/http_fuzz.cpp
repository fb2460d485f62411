// libFuzzer target: any bytes through the HTTP parser and the answer to what comes out of it.
#include <boost/beast/http.hpp>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "firmware-sim/net/http_response.hpp"
#include "firmware-sim/panel/assets.hpp"

namespace ampturn::sim::panel {
namespace {
constexpr Asset page{"/", "text/html", "<!doctype html>"};
}
std::span<const Asset> assets() { return {&page, 1}; }
const Asset* asset_at(std::string_view path) { return path == page.path ? &page : nullptr; }
}  // namespace ampturn::sim::panel

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    namespace http = boost::beast::http;
    http::request_parser<http::empty_body> parser;
    parser.header_limit(8192);
    parser.body_limit(std::uint64_t{0});
    boost::system::error_code error;
    parser.put(boost::asio::buffer(bytes, size), error);
    if (error || !parser.is_header_done()) return 0;
    const auto& message = parser.get();
    const ampturn::sim::net::OriginPolicy policy({"127.0.0.1", "localhost", "::1"}, 8025);
    const ampturn::sim::net::HttpRequest request{std::string(message.method_string()),
                                                 std::string(message.target()),
                                                 std::string(message[http::field::host]),
                                                 std::string(message[http::field::origin]),
                                                 parser.content_length().value_or(0) > 0 || parser.chunked(),
                                                 false};
    const ampturn::sim::net::HttpResponse response = ampturn::sim::net::response_to(request, policy);
    const bool known = response.status == 200 || response.status >= 400;
    if (!known || (response.status == 200 && !response.upgrade && !policy.host_allowed(request.host)))
        std::abort();
    return 0;
}
