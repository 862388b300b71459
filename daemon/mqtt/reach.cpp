#include "daemon/mqtt/reach.hpp"

#include <fcntl.h>
#include <netdb.h>
#include <poll.h>
#include <sys/socket.h>

#include <cerrno>
#include <memory>
#include <string_view>
#include <system_error>

#include "daemon/mqtt/file.hpp"

namespace gyled::mqtt {
namespace {

std::string words_of(int error) {
    return std::system_category().message(error);
}

std::optional<std::string> why_not(const addrinfo& where, std::chrono::milliseconds patience) {
    const File socket{::socket(where.ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0)};
    if (socket.descriptor() < 0) return words_of(errno);
    if (::connect(socket.descriptor(), where.ai_addr, where.ai_addrlen) == 0) return std::nullopt;
    if (errno != EINPROGRESS) return words_of(errno);
    pollfd done{socket.descriptor(), POLLOUT, 0};
    if (::poll(&done, 1, static_cast<int>(patience.count())) <= 0) return words_of(ETIMEDOUT);
    int error = 0;
    socklen_t size = sizeof error;
    ::getsockopt(socket.descriptor(), SOL_SOCKET, SO_ERROR, &error, &size);
    return error == 0 ? std::nullopt : std::optional{words_of(error)};
}

}  // namespace

Address address_of(const std::string& url) {
    const std::size_t scheme_end = url.find("://");
    const std::string_view scheme = std::string_view{url}.substr(0, scheme_end);
    const std::string_view rest = std::string_view{url}.substr(scheme_end + 3);
    const std::size_t bracket = rest.find(']');  // of an IPv6 address
    const std::size_t colon = rest.find(':', bracket == rest.npos ? 0 : bracket);
    std::string_view host = rest.substr(0, colon);
    if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
    return {std::string{host}, colon != rest.npos  ? std::string{rest.substr(colon + 1)}
                               : scheme == "mqtts" ? "8883"
                                                   : "1883"};
}

std::optional<std::string> why_unreachable(const Address& address, std::chrono::milliseconds patience) {
    addrinfo wanted{};
    wanted.ai_socktype = SOCK_STREAM;
    addrinfo* found = nullptr;
    if (const int error = ::getaddrinfo(address.host.c_str(), address.port.c_str(), &wanted, &found))
        return std::string{::gai_strerror(error)};
    const std::unique_ptr<addrinfo, decltype(&::freeaddrinfo)> all{found, ::freeaddrinfo};
    std::optional<std::string> why;
    for (const addrinfo* where = found; where != nullptr; where = where->ai_next)
        if (why = why_not(*where, patience); !why) return std::nullopt;
    return why;
}

}  // namespace gyled::mqtt
