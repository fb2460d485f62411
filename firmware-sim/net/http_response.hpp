#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "firmware-sim/net/origin_policy.hpp"

namespace ampturn::sim::net {

/// An HTTP request reduced to what matters here.
struct HttpRequest {
    std::string method, target, host, origin;
    bool has_body = false;
    bool wants_websocket = false;
};

struct HttpResponse {
    int status = 200;
    std::vector<std::pair<std::string, std::string>> headers;
    std::string body;
    bool head_only = false;
    bool upgrade = false;  // hand the connection to the WebSocket
};

/// Pure: only static files and the WebSocket at /ws; nothing over plain HTTP changes the unit.
HttpResponse response_to(const HttpRequest& request, const OriginPolicy& policy);
HttpResponse plain_response(int status, std::string_view text);

}  // namespace ampturn::sim::net
