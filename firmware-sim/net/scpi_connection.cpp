#include "firmware-sim/net/scpi_connection.hpp"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <array>
#include <boost/asio/experimental/awaitable_operators.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/this_coro.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <memory>
#include <utility>

#include "firmware-sim/net/ask.hpp"
#include "firmware-sim/net/http_line.hpp"
#include "firmware-sim/net/server.hpp"
#include "firmware-sim/scpi/framer.hpp"

namespace ampturn::sim::net {

namespace asio = boost::asio;
using asio::awaitable;
using asio::use_awaitable;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

/// False when the far end is gone or does not read for limits::write_stall.
template <class Stream>
awaitable<bool> send(Stream& stream, const std::string& text) {
    using namespace asio::experimental::awaitable_operators;
    asio::steady_timer stall(stream.get_executor(), limits::write_stall);
    error_code write_error, timer_error;
    const auto finished = co_await (
        asio::async_write(stream, asio::buffer(text), asio::redirect_error(use_awaitable, write_error)) ||
        stall.async_wait(asio::redirect_error(use_awaitable, timer_error)));
    co_return finished.index() == 0 && !write_error;
}

/// Reads messages, one at a time in the queue, and writes the answers in order.
template <class Stream>
awaitable<void> converse(Server& server, std::shared_ptr<Stream> stream, std::shared_ptr<Client> client) {
    scpi::Framer framer;
    std::array<char, 4096> buffer;
    bool open = true;
    while (open && !client->closing) {
        while (auto frame = framer.next()) {
            if (!frame->overrun && is_http_line(frame->message)) {
                open = false;
                break;
            }
            record::SessionInput request =
                frame->overrun
                    ? client->input(record::SessionInput::Kind::overrun, frame->overrun->detail)
                    : client->input(record::SessionInput::Kind::message, std::move(frame->message));
            co_await ask(server.requests(), client, std::move(request));
            const std::string reply = std::exchange(client->reply, {});
            if (client->closing || (!reply.empty() && !co_await send(*stream, reply))) {
                open = false;
                break;
            }
        }
        if (!open) break;
        error_code error;
        const std::size_t count = co_await stream->async_read_some(
            asio::buffer(buffer), asio::redirect_error(use_awaitable, error));
        if (error) break;
        framer.feed({buffer.data(), count});
    }
    server.remove_client(client);
    error_code ignored;
    stream->close(ignored);
}

}  // namespace

awaitable<void> accept_scpi(Server& server, tcp::acceptor& acceptor) {
    while (true) {
        error_code error;
        auto stream = std::make_shared<tcp::socket>(
            co_await acceptor.async_accept(asio::redirect_error(use_awaitable, error)));
        if (error) {
            if (!acceptor.is_open()) co_return;
            asio::steady_timer pause(acceptor.get_executor(), std::chrono::milliseconds(100));
            co_await pause.async_wait(asio::redirect_error(use_awaitable, error));  // out of files: wait
            continue;
        }
        stream->set_option(tcp::no_delay(true), error);
        stream->set_option(asio::socket_base::keep_alive(true), error);
        const auto client = server.admit(ClientKind::scpi, [stream] {
            error_code ignored;
            stream->close(ignored);
        });
        if (!client) continue;  // no place: the socket closes
        asio::co_spawn(acceptor.get_executor(), converse(server, stream, client), asio::detached);
    }
}

awaitable<void> serve_serial(Server& server, asio::io_context& io, int file) {
    auto stream = std::make_shared<asio::posix::stream_descriptor>(io, file);
    const auto client = server.admit(ClientKind::serial, [stream] {
        error_code ignored;
        stream->close(ignored);
    });
    co_await converse(server, stream, client);
}

}  // namespace ampturn::sim::net
