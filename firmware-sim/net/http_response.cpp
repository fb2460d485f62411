#include "firmware-sim/net/http_response.hpp"

#include "firmware-sim/panel/assets.hpp"

namespace ampturn::sim::net {
namespace {

void add_common_headers(HttpResponse& response) {
    response.headers.insert(
        response.headers.end(),
        {{"Content-Security-Policy",
          "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
          "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
         {"X-Content-Type-Options", "nosniff"},
         {"Referrer-Policy", "no-referrer"},
         {"Cross-Origin-Resource-Policy", "same-origin"},
         {"Cache-Control", "no-cache"}});
}

}  // namespace

HttpResponse plain_response(int status, std::string_view text) {
    HttpResponse response;
    response.status = status;
    response.body = std::string(text) + "\n";
    response.headers.emplace_back("Content-Type", "text/plain; charset=utf-8");
    add_common_headers(response);
    return response;
}

HttpResponse response_to(const HttpRequest& request, const OriginPolicy& policy) {
    if (!policy.host_allowed(request.host))
        return plain_response(421, "this panel does not response to that host name");
    if (!policy.origin_allowed(request.origin))
        return plain_response(403, "pages of other sites may not use this panel");
    const bool head = request.method == "HEAD";
    if (request.method != "GET" && !head) {
        HttpResponse response = plain_response(405, "only GET and HEAD");
        response.headers.emplace_back("Allow", "GET, HEAD");
        return response;
    }
    if (request.has_body) return plain_response(413, "a request here has no body");
    const std::string_view target = request.target;
    const std::string_view path = target.substr(0, target.find('?'));
    if (path == "/ws") {
        if (!request.wants_websocket) return plain_response(426, "a WebSocket is wanted here");
        HttpResponse response;
        response.upgrade = true;
        return response;
    }
    const panel::Asset* asset = panel::asset_at(path);
    if (!asset) return plain_response(404, "no such page");
    HttpResponse response;
    response.body = std::string(asset->bytes);
    response.head_only = head;
    response.headers.emplace_back("Content-Type", std::string(asset->type));
    add_common_headers(response);
    return response;
}

}  // namespace ampturn::sim::net
