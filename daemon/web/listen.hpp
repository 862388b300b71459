#pragma once
/// Opening the two doors. All throw std::runtime_error in words that name the address and the remedy.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <string>

namespace gyled::web {

/// "127.0.0.1:8075", "[::1]:8075", "0.0.0.0:0".
[[nodiscard]] boost::asio::ip::tcp::endpoint parse_listen(const std::string& text);
[[nodiscard]] boost::asio::ip::tcp::acceptor listen_tcp(boost::asio::io_context& loop,
                                                        const std::string& text);

/// A socket file of mode 0660. One that nobody answers on is replaced; a living server, or a file that is no
/// socket, is left alone and refused.
[[nodiscard]] boost::asio::local::stream_protocol::acceptor listen_unix(boost::asio::io_context& loop,
                                                                        const std::string& path);

}  // namespace gyled::web
