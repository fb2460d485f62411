#include "firmware-sim/net/http_answer.hpp"

#include "firmware-sim/panel/assets.hpp"

namespace ampturn::sim {
namespace {

void add_common_headers(HttpAnswer& answer) {
    answer.headers.insert(
        answer.headers.end(),
        {{"Content-Security-Policy",
          "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
          "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
         {"X-Content-Type-Options", "nosniff"},
         {"Referrer-Policy", "no-referrer"},
         {"Cross-Origin-Resource-Policy", "same-origin"},
         {"Cache-Control", "no-cache"}});
}

}  // namespace

HttpAnswer plain_answer(int status, std::string_view text) {
    HttpAnswer answer;
    answer.status = status;
    answer.body = std::string(text) + "\n";
    answer.headers.emplace_back("Content-Type", "text/plain; charset=utf-8");
    add_common_headers(answer);
    return answer;
}

HttpAnswer answer_to(const HttpQuestion& question, const Guard& guard) {
    if (!guard.host_allowed(question.host))
        return plain_answer(421, "this panel does not answer to that host name");
    if (!guard.origin_allowed(question.origin))
        return plain_answer(403, "pages of other sites may not use this panel");
    const bool head = question.method == "HEAD";
    if (question.method != "GET" && !head) {
        HttpAnswer answer = plain_answer(405, "only GET and HEAD");
        answer.headers.emplace_back("Allow", "GET, HEAD");
        return answer;
    }
    if (question.has_body) return plain_answer(413, "a request here has no body");
    const std::string_view target = question.target;
    const std::string_view path = target.substr(0, target.find('?'));
    if (path == "/ws") {
        if (!question.wants_websocket) return plain_answer(426, "a WebSocket is wanted here");
        HttpAnswer answer;
        answer.upgrade = true;
        return answer;
    }
    const Asset* asset = asset_at(path);
    if (!asset) return plain_answer(404, "no such page");
    HttpAnswer answer;
    answer.body = std::string(asset->bytes);
    answer.head_only = head;
    answer.headers.emplace_back("Content-Type", std::string(asset->type));
    add_common_headers(answer);
    return answer;
}

}  // namespace ampturn::sim
