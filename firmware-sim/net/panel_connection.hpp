#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>

namespace ampturn::sim::net {

class Server;

/// Takes HTTP and WebSocket connections for the panel until the acceptor is closed.
boost::asio::awaitable<void> accept_panel(Server& server, boost::asio::ip::tcp::acceptor& acceptor);

}  // namespace ampturn::sim::net
