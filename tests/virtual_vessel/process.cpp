#include "tests/virtual_vessel/process.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <thread>

extern char** environ;

namespace gyled::virtual_vessel {
namespace {

std::vector<char*> arguments(const std::vector<std::string>& command) {
    std::vector<char*> out;
    for (const std::string& word : command) out.push_back(const_cast<char*>(word.c_str()));
    out.push_back(nullptr);
    return out;
}

/// Starts `command` with stdout and stderr on the two descriptors. -1 when it cannot.
pid_t start(const std::vector<std::string>& command, int out, int err) {
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, err, STDERR_FILENO);
    pid_t pid = -1;
    std::vector<char*> words = arguments(command);
    if (posix_spawnp(&pid, words[0], &actions, nullptr, words.data(), environ) != 0) pid = -1;
    posix_spawn_file_actions_destroy(&actions);
    return pid;
}

/// False when the other side is done.
bool take_some(int descriptor, std::string& into) {
    char buffer[65536];
    const ssize_t n = ::read(descriptor, buffer, sizeof buffer);
    if (n > 0) into.append(buffer, static_cast<std::size_t>(n));
    return n > 0;
}

int code_of(int status) {
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

Finished run(const std::vector<std::string>& command) {
    Finished result;
    int out[2];
    int err[2];
    if (::pipe2(out, O_CLOEXEC) != 0 || ::pipe2(err, O_CLOEXEC) != 0) return result;
    const pid_t pid = start(command, out[1], err[1]);
    ::close(out[1]);
    ::close(err[1]);
    pollfd watched[2] = {{out[0], POLLIN, 0}, {err[0], POLLIN, 0}};
    while (watched[0].fd >= 0 || watched[1].fd >= 0) {
        if (::poll(watched, 2, -1) < 0) break;
        if (watched[0].revents != 0 && !take_some(out[0], result.out)) watched[0].fd = -1;
        if (watched[1].revents != 0 && !take_some(err[0], result.err)) watched[1].fd = -1;
    }
    ::close(out[0]);
    ::close(err[0]);
    int status = 0;
    if (pid > 0 && ::waitpid(pid, &status, 0) == pid) result.exit_code = code_of(status);
    return result;
}

Background::Background(const std::vector<std::string>& command) {
    const int nowhere = ::open("/dev/null", O_WRONLY | O_CLOEXEC);
    pid_ = start(command, nowhere, nowhere);
    ::close(nowhere);
}

Background::~Background() {
    if (pid_ <= 0) return;
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
}

void Background::signal(int number) const {
    if (pid_ > 0) ::kill(pid_, number);
}

int Background::wait_for(std::chrono::milliseconds span) {
    const auto until = std::chrono::steady_clock::now() + span;
    while (pid_ > 0 && std::chrono::steady_clock::now() < until) {
        int status = 0;
        if (::waitpid(pid_, &status, WNOHANG) == pid_) {
            pid_ = -1;
            return code_of(status);
        }
        std::this_thread::sleep_for(std::chrono::milliseconds{10});
    }
    return -1;
}

int free_port() {
    const int s = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    ::bind(s, reinterpret_cast<sockaddr*>(&address), size);
    ::getsockname(s, reinterpret_cast<sockaddr*>(&address), &size);
    ::close(s);
    return ntohs(address.sin_port);
}

}  // namespace gyled::virtual_vessel
