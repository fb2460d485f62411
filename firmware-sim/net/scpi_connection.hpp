#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/ip/tcp.hpp>

namespace ampturn::sim::net {

class Server;

/// Takes connections for the command language until the acceptor is closed.
boost::asio::awaitable<void> accept_scpi(Server& server, boost::asio::ip::tcp::acceptor& acceptor);
/// The same language on a serial line; takes the file over.
boost::asio::awaitable<void> serve_serial(Server& server, boost::asio::io_context& io, int file);

}  // namespace ampturn::sim::net
