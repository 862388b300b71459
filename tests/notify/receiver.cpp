#include "tests/notify/receiver.hpp"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <stdexcept>

namespace gyled::notify {
namespace {

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

bool read_some(int connection, std::string& into) {
    std::array<char, 4096> buffer{};
    const ssize_t got = recv(connection, buffer.data(), buffer.size(), 0);
    if (got <= 0) return false;
    into.append(buffer.data(), static_cast<std::size_t>(got));
    return true;
}

void write_all(int connection, const std::string& text) {
    for (std::size_t sent = 0; sent < text.size();) {
        const ssize_t wrote = send(connection, text.data() + sent, text.size() - sent, MSG_NOSIGNAL);
        if (wrote <= 0) return;
        sent += static_cast<std::size_t>(wrote);
    }
}

Heard parse_head(const std::string& head) {
    Heard heard;
    std::size_t line_end = head.find("\r\n");
    const std::string first = head.substr(0, line_end);
    const std::size_t space = first.find(' ');
    heard.method = first.substr(0, space);
    heard.target = first.substr(space + 1, first.rfind(' ') - space - 1);
    while (line_end != std::string::npos && line_end + 2 < head.size()) {
        const std::size_t begin = line_end + 2;
        line_end = head.find("\r\n", begin);
        const std::string line = head.substr(begin, line_end - begin);
        const std::size_t colon = line.find(':');
        if (colon == std::string::npos) continue;
        const std::size_t value = line.find_first_not_of(' ', colon + 1);
        heard.headers[lower(line.substr(0, colon))] = value == std::string::npos ? "" : line.substr(value);
    }
    return heard;
}

}  // namespace

Receiver::Receiver() : listener_{socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    if (bind(listener_, reinterpret_cast<sockaddr*>(&address), size) != 0 || listen(listener_, 16) != 0 ||
        getsockname(listener_, reinterpret_cast<sockaddr*>(&address), &size) != 0)
        throw std::runtime_error("no loopback port");
    port_ = ntohs(address.sin_port);
    thread_ = std::thread{[this] { serve(); }};
}

Receiver::~Receiver() {
    shutdown(listener_, SHUT_RDWR);
    thread_.join();
    close(listener_);
    for (const int connection : held_) close(connection);
}

std::string Receiver::url(const std::string& path) const {
    return "http://127.0.0.1:" + std::to_string(port_) + path;
}

void Receiver::will(std::vector<Answer> answers) {
    const std::scoped_lock lock{mutex_};
    answers_.insert(answers_.end(), answers.begin(), answers.end());
}

std::vector<Heard> Receiver::heard() const {
    const std::scoped_lock lock{mutex_};
    return heard_;
}

void Receiver::serve() {
    for (;;) {
        const int connection = accept(listener_, nullptr, nullptr);
        if (connection < 0) return;
        talk(connection);
    }
}

void Receiver::talk(int connection) {
    Answer answer;
    {
        const std::scoped_lock lock{mutex_};
        if (!answers_.empty()) {
            answer = answers_.front();
            answers_.pop_front();
        }
    }
    if (answer.manner == Answer::Manner::drop_at_once) {
        close(connection);
        return;
    }
    std::string bytes;
    std::size_t head_end = std::string::npos;
    while ((head_end = bytes.find("\r\n\r\n")) == std::string::npos)
        if (!read_some(connection, bytes)) return void(close(connection));
    Heard heard = parse_head(bytes.substr(0, head_end + 2));
    const std::string& length = heard.headers["content-length"];
    const std::size_t wanted = length.empty() ? 0 : std::stoul(length);
    bytes.erase(0, head_end + 4);
    while (bytes.size() < wanted)
        if (!read_some(connection, bytes)) return void(close(connection));
    heard.body = bytes;
    {
        const std::scoped_lock lock{mutex_};
        heard_.push_back(heard);
        if (answer.manner == Answer::Manner::hang) {
            held_.push_back(connection);
            return;
        }
    }
    if (answer.manner == Answer::Manner::nonsense) write_all(connection, "\x01\x02 I am a kettle\r\n");
    if (answer.manner == Answer::Manner::answer) {
        std::string out = "HTTP/1.1 " + std::to_string(answer.status) + " Whatever\r\nConnection: close\r\n";
        for (const std::string& header : answer.headers) out += header + "\r\n";
        if (!answer.content_type.empty()) out += "Content-Type: " + answer.content_type + "\r\n";
        write_all(connection,
                  out + "Content-Length: " + std::to_string(answer.body.size()) + "\r\n\r\n" + answer.body);
    }
    close(connection);
}

}  // namespace gyled::notify
