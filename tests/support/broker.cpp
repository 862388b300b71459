#include "tests/support/broker.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <signal.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "tests/support/eventually.hpp"

extern char** environ;

namespace gyled::testing {
namespace {

using namespace std::chrono_literals;

sockaddr_in loopback(std::uint16_t port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    return address;
}

bool accepts_connections(std::uint16_t port) {
    const int descriptor = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const sockaddr_in address = loopback(port);
    const bool open = ::connect(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
    ::close(descriptor);
    return open;
}

/// Debian puts servers where an ordinary user's PATH does not look.
std::string mosquitto_program() {
    for (const char* const place : {"/usr/sbin/mosquitto", "/usr/local/sbin/mosquitto", "/usr/bin/mosquitto"})
        if (::access(place, X_OK) == 0) return place;
    return "mosquitto";
}

}  // namespace

std::uint16_t free_port() {
    const int descriptor = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address = loopback(0);
    socklen_t size = sizeof address;
    const bool known = ::bind(descriptor, reinterpret_cast<const sockaddr*>(&address), size) == 0 &&
                       ::getsockname(descriptor, reinterpret_cast<sockaddr*>(&address), &size) == 0;
    ::close(descriptor);
    if (!known) throw std::runtime_error("no free loopback port");
    return ntohs(address.sin_port);
}

TemporaryFolder::TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "gyled-test-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make a folder like " + name);
    path_ = name;
}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

Broker::Broker(std::string more_settings) : port_{free_port()} {
    for (auto at = more_settings.find("%PORT%"); at != std::string::npos; at = more_settings.find("%PORT%"))
        more_settings.replace(at, 6, std::to_string(port_));
    std::ofstream settings{folder_ / "mosquitto.conf"};
    if (more_settings.find("listener ") == std::string::npos)
        settings << "listener " << port_ << " 127.0.0.1\nallow_anonymous true\n";
    settings << "persistence true\npersistence_location " << folder_.path().string() << "/\n"
             << "autosave_interval 1\n"  // seconds: what a kill may cost
             << "max_queued_messages 100000\nmax_queued_bytes 0\n"
             << "log_dest file " << (folder_ / "mosquitto.log") << "\nlog_type all\n";
    // As root, mosquitto would become another user, who may not write here.
    if (::geteuid() == 0) settings << "user root\n";
    settings << more_settings << '\n';
}

Broker::~Broker() {
    if (running()) end(SIGKILL);
}

void Broker::start() {
    if (running()) throw std::logic_error("the broker runs already");
    std::string program = mosquitto_program(), option = "-c", settings = folder_ / "mosquitto.conf";
    const std::array<char*, 4> arguments{program.data(), option.data(), settings.data(), nullptr};
    posix_spawn_file_actions_t files;
    ::posix_spawn_file_actions_init(&files);
    const std::string output = folder_ / "mosquitto.out";
    ::posix_spawn_file_actions_addopen(&files, 1, output.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0640);
    ::posix_spawn_file_actions_adddup2(&files, 1, 2);
    const int failed = ::posix_spawnp(&process_, program.c_str(), &files, nullptr, arguments.data(), environ);
    ::posix_spawn_file_actions_destroy(&files);
    if (failed != 0) {
        process_ = -1;
        throw std::runtime_error("cannot start mosquitto; is it installed?");
    }
    const bool up = eventually(
        [this] { return accepts_connections(port_) || ::waitpid(process_, nullptr, WNOHANG) != 0; }, 10s);
    if (!up || !accepts_connections(port_)) throw std::runtime_error("mosquitto does not start: " + log());
}

void Broker::end(int signal) {
    if (!running()) return;
    ::kill(process_, signal);
    const bool gone = eventually([this] { return ::waitpid(process_, nullptr, WNOHANG) != 0; }, 10s);
    if (!gone) {
        ::kill(process_, SIGKILL);
        ::waitpid(process_, nullptr, 0);
    }
    process_ = -1;
    if (!gone) throw std::runtime_error("mosquitto does not stop: " + log());
}

void Broker::stop() {
    end(SIGTERM);
}
void Broker::kill() {
    end(SIGKILL);
}
void Broker::freeze() {
    ::kill(process_, SIGSTOP);
}
void Broker::thaw() {
    ::kill(process_, SIGCONT);
}

void Broker::publish_from_outside(const std::string& topic, const std::vector<std::string>& payloads) const {
    // mosquitto_pub 2.0.11 may lose its connection, and say nothing, after some 30,000 lines in one go.
    constexpr std::size_t lines_at_once = 5000;
    const std::string command =
        "mosquitto_pub -V 5 -q 1 -l -h 127.0.0.1 -p " + std::to_string(port_) + " -t " + topic;
    for (std::size_t sent = 0; sent < payloads.size();) {
        std::FILE* const lines = ::popen(command.c_str(), "w");
        if (lines == nullptr) throw std::runtime_error("cannot start mosquitto_pub; is it installed?");
        for (std::size_t n = 0; n < lines_at_once && sent < payloads.size(); ++n)
            std::fprintf(lines, "%s\n", payloads[sent++].c_str());
        if (::pclose(lines) != 0) throw std::runtime_error("mosquitto_pub failed");
    }
}

std::string Broker::log() const {
    std::string text;
    for (const char* const name : {"mosquitto.out", "mosquitto.log"}) {
        std::ifstream file{folder_ / name};
        text.append(std::istreambuf_iterator<char>{file}, {});
    }
    return text;
}

}  // namespace gyled::testing
