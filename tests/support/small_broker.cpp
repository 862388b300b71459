#include "tests/support/small_broker.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "tests/support/eventually.hpp"

extern char** environ;

namespace gyled::testing {
namespace {

using namespace std::chrono_literals;

/// run.sh's word for "something that I need is not here".
constexpr int not_here = 77;

}  // namespace

SmallBroker::SmallBroker(SmallBrokerTls tls, std::string user, std::string password)
    : tls_{std::move(tls)}, user_{std::move(user)}, password_{std::move(password)}, port_{free_port()} {}

SmallBroker::~SmallBroker() {
    stop();
}

void SmallBroker::start() {
    nlohmann::json options{{"port", port_}, {"user", user_}, {"password", password_}};
    if (!tls_.certificate.empty()) options["tls"] = {{"cert", tls_.certificate}, {"key", tls_.key}};
    if (!tls_.ca.empty()) options["tls"]["ca"] = tls_.ca;
    std::string program = SMALL_BROKER, argument = options.dump();
    const std::array<char*, 3> arguments{program.data(), argument.data(), nullptr};
    const std::string output = folder_ / "broker.out";
    posix_spawn_file_actions_t files;
    ::posix_spawn_file_actions_init(&files);
    ::posix_spawn_file_actions_addopen(&files, 1, output.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0640);
    ::posix_spawn_file_actions_adddup2(&files, 1, 2);
    const int failed = ::posix_spawn(&process_, program.c_str(), &files, nullptr, arguments.data(), environ);
    ::posix_spawn_file_actions_destroy(&files);
    if (failed != 0) process_ = -1;

    int status = 0;
    bool ended = failed != 0;
    const bool settled = eventually(
        [&] {
            ended = ended || ::waitpid(process_, &status, WNOHANG) != 0;
            return ended || log().find("listening") != std::string::npos;
        },
        180s);
    if (ended) process_ = -1;
    if (ended && WIFEXITED(status) && WEXITSTATUS(status) == not_here) throw NotInstalled(log());
    if (ended || !settled) throw std::runtime_error("the small broker does not start: " + log());
}

void SmallBroker::stop() {
    if (process_ < 0) return;
    ::kill(process_, SIGKILL);
    ::waitpid(process_, nullptr, 0);
    process_ = -1;
}

std::string SmallBroker::url() const {
    return (tls_.certificate.empty() ? "mqtt://127.0.0.1:" : "mqtts://127.0.0.1:") + std::to_string(port_);
}

void SmallBroker::publish_from_outside(const std::string& topic,
                                       const std::vector<std::string>& payloads) const {
    const std::string login = user_.empty() ? "" : " -u " + user_ + " -P " + password_;
    const std::string command =
        "mosquitto_pub -V 311 -q 1 -l -h 127.0.0.1 -p " + std::to_string(port_) + login + " -t " + topic;
    std::FILE* const lines = ::popen(command.c_str(), "w");
    if (lines == nullptr) throw std::runtime_error("cannot start mosquitto_pub; is it installed?");
    for (const std::string& payload : payloads) std::fprintf(lines, "%s\n", payload.c_str());
    if (::pclose(lines) != 0) throw std::runtime_error("mosquitto_pub failed");
}

std::string SmallBroker::log() const {
    std::ifstream file{folder_ / "broker.out"};
    return {std::istreambuf_iterator<char>{file}, {}};
}

}  // namespace gyled::testing
