// libFuzzer target: any bytes through the HTTP parser and the answer to what comes out of it.
#include <boost/beast/http.hpp>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "firmware-sim/net/http_answer.hpp"
#include "firmware-sim/panel/assets.hpp"

namespace ampturn::sim {
namespace {
constexpr Asset page{"/", "text/html", "<!doctype html>"};
}
std::span<const Asset> assets() { return {&page, 1}; }
const Asset* asset_at(std::string_view path) { return path == page.path ? &page : nullptr; }
}  // namespace ampturn::sim

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    namespace http = boost::beast::http;
    http::request_parser<http::empty_body> parser;
    parser.header_limit(8192);
    parser.body_limit(std::uint64_t{0});
    boost::system::error_code error;
    parser.put(boost::asio::buffer(bytes, size), error);
    if (error || !parser.is_header_done()) return 0;
    const auto& request = parser.get();
    const ampturn::sim::Guard guard({"127.0.0.1", "localhost", "::1"}, 8025);
    const ampturn::sim::HttpQuestion question{std::string(request.method_string()),
                                              std::string(request.target()),
                                              std::string(request[http::field::host]),
                                              std::string(request[http::field::origin]),
                                              parser.content_length().value_or(0) > 0 || parser.chunked(),
                                              false};
    const ampturn::sim::HttpAnswer answer = answer_to(question, guard);
    const bool known = answer.status == 200 || answer.status >= 400;
    if (!known || (answer.status == 200 && !answer.upgrade && !guard.host_allowed(question.host)))
        std::abort();
    return 0;
}
