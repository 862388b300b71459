#include "tests/web/wire.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <unistd.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

namespace gyled::web {
namespace {

void be_patient(int descriptor) {
    const timeval patience{.tv_sec = 10, .tv_usec = 0};
    ::setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    ::setsockopt(descriptor, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience);
}

std::string lower(std::string text) {
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

}  // namespace

Wire Wire::tcp(std::uint16_t port) {
    const int descriptor = ::socket(AF_INET, SOCK_STREAM, 0);
    be_patient(descriptor);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (::connect(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
        ::close(descriptor);
        return Wire{-1};
    }
    return Wire{descriptor};
}

Wire Wire::unix_socket(const std::string& path) {
    const int descriptor = ::socket(AF_UNIX, SOCK_STREAM, 0);
    be_patient(descriptor);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    std::strncpy(address.sun_path, path.c_str(), sizeof address.sun_path - 1);
    if (::connect(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
        ::close(descriptor);
        return Wire{-1};
    }
    return Wire{descriptor};
}

Wire::Wire(Wire&& other) noexcept
    : descriptor_{std::exchange(other.descriptor_, -1)}, heard_{std::move(other.heard_)} {}

Wire::~Wire() {
    if (descriptor_ >= 0) ::close(descriptor_);
}

bool Wire::say(std::string_view bytes) const {
    while (!bytes.empty()) {
        const ssize_t sent = ::send(descriptor_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
        if (sent <= 0) return false;
        bytes.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
}

bool Wire::more() {
    std::array<char, 16384> chunk{};
    const ssize_t got = ::recv(descriptor_, chunk.data(), chunk.size(), 0);
    if (got <= 0) return false;
    heard_.append(chunk.data(), static_cast<std::size_t>(got));
    return true;
}

std::string Wire::hear_until(std::string_view mark) {
    std::size_t found = heard_.find(mark);
    while (found == std::string::npos) {
        if (!more()) return std::exchange(heard_, {});
        found = heard_.find(mark);
    }
    std::string out = heard_.substr(0, found + mark.size());
    heard_.erase(0, out.size());
    return out;
}

Answer Wire::hear(bool to_head) {
    Answer answer;
    std::string head = hear_until("\r\n\r\n");
    if (!head.starts_with("HTTP/1.1 ") || head.size() < 12) return answer;
    answer.status = std::stoi(head.substr(9, 3));
    std::size_t line = head.find("\r\n") + 2;
    while (line + 2 < head.size()) {
        const std::size_t end = head.find("\r\n", line);
        const std::size_t colon = head.find(": ", line);
        if (colon < end)
            answer.headers[lower(head.substr(line, colon - line))] = head.substr(colon + 2, end - colon - 2);
        line = end + 2;
    }
    if (to_head || answer.status == 304 || !answer.headers.contains("content-length")) return answer;
    const std::size_t length = std::stoul(answer.headers["content-length"]);
    while (heard_.size() < length && more()) {
    }
    answer.body = heard_.substr(0, length);
    heard_.erase(0, answer.body.size());
    return answer;
}

void Wire::finish() const {
    ::shutdown(descriptor_, SHUT_WR);
}

bool Wire::is_closed_by_peer() {
    std::array<char, 16384> chunk{};
    while (true) {
        const ssize_t got = ::recv(descriptor_, chunk.data(), chunk.size(), 0);
        if (got > 0) continue;
        return got == 0 || errno == ECONNRESET;
    }
}

std::string request(std::string_view method, std::string_view target, std::string_view headers,
                    std::string_view body) {
    std::string out{method};
    out.append(" ").append(target).append(" HTTP/1.1\r\nHost: localhost\r\n").append(headers);
    if (!body.empty()) out.append("Content-Length: ").append(std::to_string(body.size())).append("\r\n");
    return out.append("\r\n").append(body);
}

std::string json_headers() {
    return "Content-Type: application/json\r\n";
}

std::string bearer(std::string_view word) {
    return "Authorization: Bearer " + std::string{word} + "\r\n";
}

std::string unzipped(const std::string& bytes) {
    z_stream stream{};
    if (inflateInit2(&stream, 15 + 16) != Z_OK) return {};
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
    stream.avail_in = static_cast<uInt>(bytes.size());
    std::string out;
    std::array<char, 65536> chunk{};
    int result = Z_OK;
    while (result == Z_OK) {
        stream.next_out = reinterpret_cast<Bytef*>(chunk.data());
        stream.avail_out = static_cast<uInt>(chunk.size());
        result = inflate(&stream, Z_NO_FLUSH);
        out.append(chunk.data(), chunk.size() - stream.avail_out);
    }
    if (result != Z_STREAM_END) out.clear();
    inflateEnd(&stream);
    return out;
}

}  // namespace gyled::web
