#include "tests/mqtt/scripted_broker.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <stdexcept>

namespace gyled::mqtt {
namespace {

bool readable(int descriptor, std::chrono::milliseconds patience) {
    pollfd what{descriptor, POLLIN, 0};
    return ::poll(&what, 1, static_cast<int>(patience.count())) > 0;
}

std::string two_bytes(std::size_t number) {
    return {static_cast<char>(number >> 8U), static_cast<char>(number & 0xFFU)};
}

}  // namespace

ScriptedBroker::ScriptedBroker() : listener_{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    if (::bind(listener_, reinterpret_cast<const sockaddr*>(&address), size) != 0 ||
        ::listen(listener_, 4) != 0 ||
        ::getsockname(listener_, reinterpret_cast<sockaddr*>(&address), &size) != 0)
        throw std::runtime_error("no loopback port to listen on");
    port_ = ntohs(address.sin_port);
}

ScriptedBroker::~ScriptedBroker() {
    if (client_ >= 0) ::close(client_);
    ::close(listener_);
}

std::string ScriptedBroker::url() const {
    return "mqtt://127.0.0.1:" + std::to_string(port_);
}

void ScriptedBroker::hang_up() {
    if (client_ >= 0) ::close(client_);
    client_ = -1;
}

void ScriptedBroker::accept() {
    hang_up();
    if (!readable(listener_, std::chrono::seconds{30})) throw std::runtime_error("nobody connects");
    client_ = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
}

bool ScriptedBroker::read_exactly(char* target, std::size_t size, std::chrono::milliseconds patience) {
    while (size > 0) {
        if (!readable(client_, patience)) return false;
        const ssize_t got = ::read(client_, target, size);
        if (got <= 0) return false;
        target += got;
        size -= static_cast<std::size_t>(got);
    }
    return true;
}

std::optional<ScriptedBroker::Packet> ScriptedBroker::next(std::chrono::milliseconds patience) {
    char first = 0;
    if (!read_exactly(&first, 1, patience)) return std::nullopt;
    std::size_t length = 0;
    for (unsigned shift = 0;; shift += 7) {
        char digit = 0;
        if (!read_exactly(&digit, 1, patience)) return std::nullopt;
        length |= static_cast<std::size_t>(digit & 0x7F) << shift;
        if ((digit & 0x80) == 0) break;
    }
    Packet packet{static_cast<unsigned char>(first) >> 4, first & 0x0F, std::string(length, '\0')};
    if (!read_exactly(packet.body.data(), length, patience)) return std::nullopt;
    return packet;
}

std::optional<ScriptedBroker::Packet> ScriptedBroker::next_of(Type type) {
    for (;;) {
        auto packet = next();
        if (!packet || packet->type == type) return packet;
    }
}

void ScriptedBroker::send_raw(std::string_view bytes) {
    if (::send(client_, bytes.data(), bytes.size(), MSG_NOSIGNAL) != static_cast<ssize_t>(bytes.size()))
        throw std::runtime_error("the client has gone");
}

void ScriptedBroker::send(int first, std::string_view body) {
    send_raw(std::string{static_cast<char>(first), static_cast<char>(body.size())} + std::string{body});
}

ScriptedBroker::Packet ScriptedBroker::welcome() {
    accept();
    auto packet = next();
    if (!packet || packet->type != connect) throw std::runtime_error("a client begins with CONNECT");
    send(0x20, std::string_view{"\x00\x00\x00", 3});  // no session yet, success, no properties
    return *packet;
}

void ScriptedBroker::send_message(std::uint16_t id, std::string_view topic, std::string_view payload) {
    send(0x32, two_bytes(topic.size()) + std::string{topic} + two_bytes(id) + '\0' + std::string{payload});
}

}  // namespace gyled::mqtt
