#include "daemon/web/listen.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstring>
#include <stdexcept>

namespace gyled::web {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using local = asio::local::stream_protocol;
using boost::system::error_code;

[[noreturn]] void refuse(const std::string& words) {
    throw std::runtime_error{words};
}

/// Removes the file of a server that is gone. Only a refused connection proves that nobody is there.
void clear_away(asio::io_context& loop, const std::string& path) {
    struct stat info {};
    if (::lstat(path.c_str(), &info) != 0) {
        if (errno == ENOENT) return;
        refuse(fmt::format("cannot look at {}: {}", path, std::strerror(errno)));
    }
    if (!S_ISSOCK(info.st_mode))
        refuse(fmt::format("{} exists and is not a socket; remove it or choose another", path));
    error_code error;
    local::socket probe{loop};
    probe.connect(local::endpoint{path}, error);
    if (!error) refuse(fmt::format("another gyled answers on {}; stop it or choose another socket", path));
    if (error != asio::error::connection_refused)
        refuse(fmt::format("cannot tell whether somebody uses {}: {}", path, error.message()));
    if (::unlink(path.c_str()) != 0)
        refuse(fmt::format("cannot remove the stale socket {}: {}", path, std::strerror(errno)));
}

}  // namespace

tcp::endpoint parse_listen(const std::string& text) {
    const auto malformed = [&] {
        refuse(fmt::format(
            "cannot listen on '{}': expected address:port, such as 127.0.0.1:8075 or [::1]:8075", text));
    };
    const std::size_t colon = text.rfind(':');
    if (colon == std::string::npos) malformed();
    std::string host = text.substr(0, colon);
    const bool is_bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
    if (is_bracketed) host = host.substr(1, host.size() - 2);
    if (!is_bracketed && host.find(':') != std::string::npos) malformed();
    if (host == "localhost") host = "127.0.0.1";

    std::uint16_t port = 0;
    const char* const first = text.data() + colon + 1;
    const char* const last = text.data() + text.size();
    const auto [end, failure] = std::from_chars(first, last, port);
    if (first == last || failure != std::errc{} || end != last) malformed();
    error_code error;
    const auto address = asio::ip::make_address(host, error);
    if (error) malformed();
    return {address, port};
}

tcp::acceptor listen_tcp(asio::io_context& loop, const std::string& text) {
    const tcp::endpoint endpoint = parse_listen(text);
    tcp::acceptor acceptor{loop};
    error_code error;
    acceptor.open(endpoint.protocol(), error);
    if (!error) acceptor.set_option(tcp::acceptor::reuse_address{true}, error);
    if (!error) acceptor.bind(endpoint, error);
    if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error) refuse(fmt::format("cannot listen on {}: {}", text, error.message()));
    return acceptor;
}

local::acceptor listen_unix(asio::io_context& loop, const std::string& path) {
    if (path.size() >= sizeof(sockaddr_un::sun_path))
        refuse(fmt::format("the path of the socket is too long (at most {} bytes): {}",
                           sizeof(sockaddr_un::sun_path) - 1, path));
    clear_away(loop, path);
    local::acceptor acceptor{loop};
    error_code error;
    acceptor.open(local{}, error);
    if (!error) acceptor.bind(local::endpoint{path}, error);
    if (error) refuse(fmt::format("cannot listen on {}: {}", path, error.message()));
    // Between bind and listen nobody can connect, so there is no moment with looser permissions.
    if (::chmod(path.c_str(), S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP) != 0)
        refuse(fmt::format("cannot set the permissions of {}: {}", path, std::strerror(errno)));
    acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error) refuse(fmt::format("cannot listen on {}: {}", path, error.message()));
    return acceptor;
}

}  // namespace gyled::web
