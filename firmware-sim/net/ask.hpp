#pragma once

#include <boost/asio/awaitable.hpp>
#include <memory>

#include "firmware-sim/net/client.hpp"

namespace ampturn::sim::net {

/// Puts one message of a client into the queue, in its turn (throttle.hpp), and waits until it is dealt with; the answer, if
/// there is one, is in client.reply.
boost::asio::awaitable<void> ask(RequestQueue& requests, std::shared_ptr<Client> client,
                                 record::SessionInput request);

}  // namespace ampturn::sim::net
