#include "tests/integration/process.hpp"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <csignal>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "tests/support/eventually.hpp"

namespace gyled::integration {

Process::Process(std::vector<std::string> command, std::string output_path)
    : output_path_{std::move(output_path)} {
    std::vector<char*> arguments;
    for (std::string& word : command) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    std::array<int, 2> has_begun{};  // closes by itself when the program has taken the place of this one
    if (pipe2(has_begun.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
    pid_ = fork();
    if (pid_ < 0) throw std::runtime_error("cannot fork");
    if (pid_ == 0) {
        const int out = open(output_path_.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
        dup2(out, STDOUT_FILENO);
        dup2(out, STDERR_FILENO);
        execv(arguments.front(), arguments.data());
        _exit(127);
    }
    close(has_begun[1]);
    char nothing = 0;
    (void)!read(has_begun[0], &nothing, 1);
    close(has_begun[0]);
}

Process::~Process() {
    if (!running()) return;
    signal(SIGKILL);
    (void)wait(std::chrono::seconds{10});
}

void Process::signal(int number) const {
    if (pid_ > 0 && !code_) ::kill(pid_, number);
}

bool Process::running() {
    return !wait(std::chrono::milliseconds{0});
}

std::optional<int> Process::wait(std::chrono::milliseconds patience) {
    const auto reaped = [this] {
        if (code_) return true;
        look_at_memory();
        int status = 0;
        if (waitpid(pid_, &status, WNOHANG) != pid_) return false;
        code_ = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
        return true;
    };
    (void)testing::eventually(reaped, patience);
    return code_;
}

/// From VmHWM in /proc/<pid>/status, which a process that has ended does not have.
void Process::look_at_memory() {
    std::ifstream status{"/proc/" + std::to_string(pid_) + "/status"};
    for (std::string line; std::getline(status, line);)
        if (line.starts_with("VmHWM:"))
            peak_memory_mib_ = std::max(peak_memory_mib_, std::stod(line.substr(6)) / 1024);
}

double Process::peak_memory_mib() {
    if (!code_) look_at_memory();
    return peak_memory_mib_;
}

std::string Process::output() const {
    std::ifstream file{output_path_};
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

Ran run(const std::vector<std::string>& command, const std::string& output_path) {
    std::ofstream{output_path, std::ios::trunc};
    Process process{command, output_path};
    const auto code = process.wait(std::chrono::minutes{2});
    return {code.value_or(-1), process.output()};
}

}  // namespace gyled::integration
