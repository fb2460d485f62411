#include "firmware-sim/net/ask.hpp"

#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <utility>

namespace ampturn::sim::net {

boost::asio::awaitable<void> ask(RequestQueue& requests, std::shared_ptr<Client> client,
                                 record::SessionInput request) {
    using boost::asio::redirect_error;
    using boost::asio::use_awaitable;
    boost::system::error_code ignored;
    client->last_heard = std::chrono::steady_clock::now();
    if (const auto wait = client->throttle.take(client->last_heard); wait.count() > 0) {
        boost::asio::steady_timer turn(client->answered.get_executor(), wait);
        co_await turn.async_wait(redirect_error(use_awaitable, ignored));
    }
    client->done = false;
    client->reply.clear();
    client->waits = true;
    requests.submit(std::move(request));
    while (!client->done && !client->closing)
        co_await client->answered.async_wait(redirect_error(use_awaitable, ignored));
    client->waits = false;
    client->last_heard = std::chrono::steady_clock::now();
}

}  // namespace ampturn::sim::net
