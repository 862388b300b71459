/// What strangers, proxies and missing files did to the doors of the whole daemon.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>

#include "tests/integration/process.hpp"
#include "tests/support/broker.hpp"
#include "tests/support/eventually.hpp"
#include "tests/web/wire.hpp"

namespace gyled::integration {
namespace {

using ::testing::AllOf;
using testing::eventually;
using ::testing::HasSubstr;
using web::Answer;
using web::bearer;
using web::json_headers;
using web::request;
using web::Wire;

constexpr const char* write_token = "6f1d2c0b9a8e47d3b5c1";

/// A port that nobody uses at this moment.
std::uint16_t free_port() {
    const int probe = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    ::bind(probe, reinterpret_cast<const sockaddr*>(&address), size);
    ::getsockname(probe, reinterpret_cast<sockaddr*>(&address), &size);
    ::close(probe);
    return ntohs(address.sin_port);
}

/// The daemon with its page on the network; its broker is away, which is no matter here.
class Doors {
public:
    explicit Doors(const std::string& more_of_web = {}) {
        secret("token", write_token);
        std::ofstream{path("gyled.toml")}
            << "[broker]\nurl = \"mqtt://127.0.0.1:1\"\n"
            << "[[vessel]]\nid = \"north\"\ntotal_volume_l = 26.0\nrelief_pressure_kpa = 180\n"
            << "[web]\nlisten = \"127.0.0.1:" << port_ << "\"\nwrite_token = { file = \"token\" }\n"
            << more_of_web;
    }
    void start() {
        daemon_ = std::make_unique<Process>(std::vector<std::string>{GYLED, "--config", path("gyled.toml")},
                                            path("log"));
        if (!eventually([this] { return status("/api/vessels") == 200 || !daemon_->running(); }) ||
            !daemon_->running())
            throw std::runtime_error("the daemon does not answer: " + daemon_->output());
    }
    void kill() {
        daemon_->signal(SIGKILL);
        (void)daemon_->wait(std::chrono::seconds{10});
    }
    /// A secret for its owner alone, as it must be.
    void secret(const std::string& name, const std::string& text) const {
        std::ofstream{path(name)} << text;
        ::chmod(path(name).c_str(), 0600);
    }
    [[nodiscard]] Wire connect() const { return Wire::tcp(port_); }
    [[nodiscard]] int status(const std::string& target, const std::string& host = "localhost") const {
        Wire wire = connect();
        wire.say("GET " + target + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n");
        return wire.hear().status;
    }
    /// Somebody acknowledges an alarm with this token.
    [[nodiscard]] Wire acknowledging(const std::string& word) const {
        Wire wire = connect();
        wire.say(
            request("POST", "/api/alarms/acknowledge", json_headers() + bearer(word), R"({"alarm": "a"})"));
        return wire;
    }
    Ran gyle(std::vector<std::string> words) const {
        words.insert(words.begin(), GYLE);
        return run(words, path("said"));
    }
    Ran check() const { return run({GYLED, "--config", path("gyled.toml"), "--check-config"}, path("said")); }
    [[nodiscard]] std::string path(const std::string& name) const { return folder_ / name; }

private:
    testing::TemporaryFolder folder_;
    std::uint16_t port_ = free_port();
    std::unique_ptr<Process> daemon_;
};

TEST(Faults, IdleConnectionsDoNotLockThePageOut) {
    Doors doors;
    doors.start();
    std::vector<Wire> idlers;
    for (int i = 0; i < 200; ++i) {
        idlers.push_back(doors.connect());
        if (i % 2 == 0) idlers.back().say("GET / HTTP/1.1\r\nX-");
    }

    for (int look = 0; look < 3; ++look) EXPECT_EQ(doors.status("/"), 200) << "look " << look;
}

TEST(Faults, AProxysHostNameIsAnsweredWhenTheConfigurationNamesIt) {
    Doors doors{"host_names = [\"cellar.example\"]\n"};
    doors.start();

    EXPECT_EQ(doors.status("/", "cellar.example"), 200);
    EXPECT_EQ(doors.status("/", "Cellar.Example:8443"), 200);
    EXPECT_EQ(doors.status("/", "evil.example"), 421) << "DNS rebinding";
}

TEST(Faults, AGuesserDoesNotLockTheOwnerOut) {
    Doors doors;
    doors.start();
    for (int i = 0; i < 5; ++i) EXPECT_EQ(doors.acknowledging("guess").hear().status, 401);
    std::vector<Wire> held;
    for (int i = 0; i < 100; ++i) held.push_back(doors.acknowledging("guess " + std::to_string(i)));

    const Answer answer = doors.acknowledging(write_token).hear();

    EXPECT_EQ(answer.status, 409) << "let in; only there is no such alarm: " << answer.body;
}

TEST(Faults, TheCheckNamesWhatIsMissing) {
    Doors doors;
    std::ofstream{doors.path("gyled.toml"), std::ios::app}
        << "[[messenger]]\nname = \"phone\"\nkind = \"push\"\nurl = \"https://relay.example\"\ntopic = "
           "\"t\"\n"
        << "token = { credential = \"push-token\" }\n";
    ::unsetenv("CREDENTIALS_DIRECTORY");
    const auto is_named =
        AllOf(HasSubstr("gyled.toml:15:24"), HasSubstr("push-token"), HasSubstr("No such file"));

    const Ran missing = doors.check(), missing_too = doors.gyle({"check", doors.path("gyled.toml")});
    EXPECT_EQ(missing.code, 2);
    EXPECT_THAT(missing.said, is_named);
    EXPECT_EQ(missing_too.code, 1);
    EXPECT_THAT(missing_too.said, is_named);

    std::filesystem::create_directory(doors.path("secrets"));
    doors.secret("secrets/push-token", "a secret");
    EXPECT_EQ(doors.check().code, 0) << doors.check().said;
    EXPECT_EQ(doors.gyle({"check", doors.path("gyled.toml")}).code, 0);
}

TEST(Faults, StatusSaysThatNobodyWatchesWhenTheDaemonIsGone) {
    Doors doors;
    const auto status = [&] { return doors.gyle({"status", "--config", doors.path("gyled.toml")}); };
    const Ran before = status();
    EXPECT_EQ(before.code, 1);
    EXPECT_THAT(before.said, AllOf(HasSubstr("gyled is not running"), HasSubstr("Nobody watches")));

    doors.start();
    EXPECT_EQ(status().code, 0);
    doors.kill();

    const Ran after = status();
    EXPECT_EQ(after.code, 1);
    EXPECT_THAT(after.said, AllOf(HasSubstr("left behind"), HasSubstr("Nobody watches")));
}

}  // namespace
}  // namespace gyled::integration
