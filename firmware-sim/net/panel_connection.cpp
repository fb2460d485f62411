#include "firmware-sim/net/panel_connection.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/websocket.hpp>
#include <memory>
#include <utility>

#include "firmware-sim/net/ask.hpp"
#include "firmware-sim/net/http_response.hpp"
#include "firmware-sim/net/server.hpp"
#include "scheduler/base/secret.hpp"

namespace ampturn::sim::net {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
namespace websocket = beast::websocket;
using asio::awaitable;
using asio::use_awaitable;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

/// What a panel says from time to time so that it is known to be there; no input of the session.
constexpr std::string_view sign_of_life = R"({"alive":true})";

using WebSocket = websocket::stream<beast::tcp_stream>;

/// Writes what the core has for the panel: messages in order, then the newest status.
awaitable<void> write_panel(std::shared_ptr<WebSocket> socket, std::shared_ptr<Client> client) {
    while (!client->closing) {
        error_code error;
        std::shared_ptr<const std::string> next;
        if (!client->outgoing.empty()) {
            next = client->outgoing.front();
            client->outgoing.pop_front();
        } else if (client->status) {
            next = std::exchange(client->status, nullptr);
        }
        if (!next) {
            co_await client->outgoing_ready.async_wait(asio::redirect_error(use_awaitable, error));
            continue;
        }
        // A deadline of its own: one on the stream would end reads too, and a panel that only watches is never heard.
        asio::steady_timer stall(socket->get_executor(), limits::write_stall);
        stall.async_wait([socket](const error_code& stopped) {
            if (!stopped) beast::get_lowest_layer(*socket).close();
        });
        co_await socket->async_write(asio::buffer(*next), asio::redirect_error(use_awaitable, error));
        stall.cancel();
        if (error) break;
    }
    client->closing = true;
    beast::get_lowest_layer(*socket).close();
}

awaitable<void> read_panel(Server& server, std::shared_ptr<WebSocket> socket,
                           std::shared_ptr<Client> client) {
    beast::flat_buffer buffer;
    while (!client->closing) {
        error_code error;
        co_await socket->async_read(buffer, asio::redirect_error(use_awaitable, error));
        if (error) break;
        if (!socket->got_text()) break;
        client->last_heard = std::chrono::steady_clock::now();
        std::string text = beast::buffers_to_string(buffer.data());
        buffer.consume(buffer.size());
        if (text == sign_of_life) continue;
        co_await ask(server.requests(), client,
                     client->input(record::SessionInput::Kind::panel, std::move(text)));
    }
    server.remove_client(client);
    beast::get_lowest_layer(*socket).close();
}

/// "?token=..." of the target, empty when there is none.
std::string token_of(std::string_view target) {
    constexpr std::string_view key = "?token=";
    const std::size_t at = target.find(key);
    return at == std::string_view::npos ? std::string() : std::string(target.substr(at + key.size()));
}

awaitable<void> open_panel(Server& server, beast::tcp_stream stream,
                           http::request<http::empty_body> request) {
    auto socket = std::make_shared<WebSocket>(std::move(stream));
    socket->read_message_max(limits::panel_message_bytes);
    websocket::stream_base::timeout timeouts{};
    timeouts.handshake_timeout = limits::http_idle;
    timeouts.idle_timeout = limits::panel_silence;  // a ping goes out at half of it
    timeouts.keep_alive_pings = true;
    beast::get_lowest_layer(*socket).expires_never();
    socket->set_option(timeouts);
    error_code error;
    co_await socket->async_accept(request, asio::redirect_error(use_awaitable, error));
    if (error) co_return;
    const auto client =
        server.admit(ClientKind::panel, [socket] { beast::get_lowest_layer(*socket).close(); });
    if (!client) {
        co_await socket->async_close(
            websocket::close_reason(websocket::close_code::try_again_later, "no place left"),
            asio::redirect_error(use_awaitable, error));
        co_return;
    }
    const std::string target(request.target());
    const std::string token = token_of(target);
    if (base::same_secret(token, server.options().trainer_token))
        client->role = record::Role::trainer;
    else if (client->role == record::Role::watcher && base::same_secret(token, server.options().token))
        client->role = record::Role::trainee;
    asio::co_spawn(socket->get_executor(), write_panel(socket, client), asio::detached);
    co_await read_panel(server, socket, client);
}

awaitable<void> serve_http(Server& server, tcp::socket raw) {
    beast::tcp_stream stream(std::move(raw));
    beast::flat_buffer buffer(limits::http_header_bytes + 1024);
    while (true) {
        http::request_parser<http::empty_body> parser;
        parser.header_limit(static_cast<std::uint32_t>(limits::http_header_bytes));
        parser.body_limit(std::uint64_t{0});
        stream.expires_after(limits::http_idle);
        error_code error;
        co_await http::async_read_header(stream, buffer, parser, asio::redirect_error(use_awaitable, error));
        if (error == http::error::end_of_stream) break;
        HttpResponse response;
        bool keep = false;
        if (error) {
            const bool too_long = error == http::error::header_limit || error == http::error::buffer_overflow;
            // A peer that is gone or silent gets no answer.
            if (error == beast::error::timeout ||
                error.category() != http::make_error_code(http::error{}).category())
                break;
            response = too_long                           ? plain_response(431, "header too long")
                       : error == http::error::body_limit ? plain_response(413, "a request here has no body")
                                                          : plain_response(400, "not an HTTP request");
        } else {
            const auto& message = parser.get();
            const std::string_view host(message[http::field::host].data(), message[http::field::host].size());
            const std::string_view origin(message[http::field::origin].data(),
                                          message[http::field::origin].size());
            const HttpRequest request{std::string(message.method_string()),
                                      std::string(message.target()),
                                      std::string(host),
                                      std::string(origin),
                                      parser.content_length().value_or(0) > 0 || parser.chunked(),
                                      websocket::is_upgrade(message)};
            // What one reader takes for the host another may not.
            const bool twice = message.count(http::field::host) > 1 || message.count(http::field::origin) > 1;
            response = twice ? plain_response(400, "a header that may stand once stands twice")
                             : response_to(request, server.origin_policy());
            keep = message.keep_alive() && !request.has_body;
            if (response.upgrade) {
                co_await open_panel(server, std::move(stream), parser.release());
                co_return;
            }
        }
        http::response<http::string_body> message;
        message.version(11);
        message.result(static_cast<unsigned>(response.status));
        for (const auto& [name, value] : response.headers) message.set(name, value);
        message.keep_alive(keep && response.status < 400);
        message.content_length(response.body.size());
        if (!response.head_only) message.body() = response.body;
        stream.expires_after(limits::http_idle);
        if (response.head_only) {
            http::response_serializer<http::string_body> serializer(message);
            co_await http::async_write_header(stream, serializer, asio::redirect_error(use_awaitable, error));
        } else {
            co_await http::async_write(stream, message, asio::redirect_error(use_awaitable, error));
        }
        if (error || !message.keep_alive()) break;
    }
    error_code ignored;
    stream.socket().shutdown(tcp::socket::shutdown_send, ignored);
}

}  // namespace

awaitable<void> accept_panel(Server& server, tcp::acceptor& acceptor) {
    auto connections = std::make_shared<std::size_t>(0);
    while (true) {
        error_code error;
        tcp::socket socket = co_await acceptor.async_accept(asio::redirect_error(use_awaitable, error));
        if (error) {
            if (!acceptor.is_open()) co_return;
            asio::steady_timer pause(acceptor.get_executor(), std::chrono::milliseconds(100));
            co_await pause.async_wait(asio::redirect_error(use_awaitable, error));
            continue;
        }
        if (*connections >= 2 * limits::panel_clients) continue;  // no place: the socket closes
        ++*connections;
        socket.set_option(tcp::no_delay(true), error);
        asio::co_spawn(acceptor.get_executor(), serve_http(server, std::move(socket)),
                       [connections](const std::exception_ptr&) { --*connections; });
    }
}

}  // namespace ampturn::sim::net
