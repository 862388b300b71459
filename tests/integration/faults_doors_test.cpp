/// What strangers, proxies and missing files did to the doors of the whole daemon.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>

#include "tests/integration/daemon.hpp"
#include "tests/support/broker.hpp"
#include "tests/support/eventually.hpp"
#include "tests/web/wire.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using ::testing::AllOf;
using testing::eventually;
using ::testing::HasSubstr;
using web::Answer;
using web::bearer;
using web::json_headers;
using web::request;
using web::Wire;

constexpr const char* write_token = "6f1d2c0b9a8e47d3b5c1";

/// A page is asked for, by a browser whose address line says `host`.
int status_of(Wire wire, const std::string& target, const std::string& host) {
    wire.say("GET " + target + " HTTP/1.1\r\nHost: " + host + "\r\n\r\n");
    return wire.hear().status;
}

/// Somebody acknowledges an alarm with this token.
Wire acknowledging(Wire wire, const std::string& word) {
    wire.say(request("POST", "/api/alarms/acknowledge", json_headers() + bearer(word), R"({"alarm": "a"})"));
    return wire;
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
        daemon_ = std::make_unique<Daemon>(std::vector<std::string>{GYLED, "--config", path("gyled.toml")},
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
    [[nodiscard]] std::uint16_t port() const { return port_; }
    [[nodiscard]] Wire connect() const { return Wire::tcp(port_); }
    [[nodiscard]] int status(const std::string& target, const std::string& host = "localhost") const {
        return status_of(connect(), target, host);
    }
    Ran gyle(std::vector<std::string> words) const {
        words.insert(words.begin(), GYLE);
        return run(words, path("said"));
    }
    Ran check() const { return run({GYLED, "--config", path("gyled.toml"), "--check-config"}, path("said")); }
    [[nodiscard]] std::string path(const std::string& name) const { return folder_ / name; }

private:
    testing::TemporaryFolder folder_;
    std::uint16_t port_ = testing::free_port();
    std::unique_ptr<Daemon> daemon_;
};

/// Two hundred connections, each idle from its first byte or before it; the page is asked for all the same.
void expect_idlers_do_no_harm(const std::function<Wire()>& connect) {
    std::vector<Wire> idlers;
    for (int i = 0; i < 200; ++i) {
        idlers.push_back(connect());
        if (i % 2 == 0) idlers.back().say("GET / HTTP/1.1\r\nX-");
    }
    for (int look = 0; look < 3; ++look)
        EXPECT_EQ(status_of(connect(), "/", "localhost"), 200) << "look " << look;
}

/// A hundred guesses wait for their answers when the right token comes from the same address.
void expect_guesser_does_not_lock_out(const std::function<Wire()>& connect) {
    for (int i = 0; i < 5; ++i) EXPECT_EQ(acknowledging(connect(), "guess").hear().status, 401);
    std::vector<Wire> held;
    for (int i = 0; i < 100; ++i) held.push_back(acknowledging(connect(), "guess " + std::to_string(i)));

    const Answer answer = acknowledging(connect(), write_token).hear();
    EXPECT_EQ(answer.status, 409) << "let in; only there is no such alarm: " << answer.body;
}

TEST(Faults, IdleConnectionsDoNotLockThePageOut) {
    Doors doors;
    doors.start();
    expect_idlers_do_no_harm([&] { return doors.connect(); });
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
    expect_guesser_does_not_lock_out([&] { return doors.connect(); });
}

/// The location block that README gives for nginx, with that port instead of the usual one.
std::string block_of_readme(std::uint16_t to) {
    std::ifstream file{GYLED_SOURCE_DIR "/README.md"};
    const std::string text{std::istreambuf_iterator<char>{file}, {}};
    const std::size_t begin = text.find("location / {"), end = text.find("\n}\n", begin);
    if (end == text.npos) throw std::runtime_error("README has no block for nginx any more");
    std::string block = text.substr(begin, end + 3 - begin);
    const std::string usual = "127.0.0.1:8075";
    return block.replace(block.find(usual), usual.size(), "127.0.0.1:" + std::to_string(to));
}

/// nginx as README recommends it, without the certificate.
class Proxy {
public:
    static constexpr const char* program = "/usr/sbin/nginx";
    explicit Proxy(std::uint16_t to) {
        std::ofstream{folder_ / "nginx.conf"}
            << (::geteuid() == 0 ? "user root;\n" : "") << "daemon off;\npid nginx.pid;\n"
            << "events { worker_connections 1024; }\nhttp {\naccess_log off;\nclient_body_temp_path body;\n"
            << "proxy_temp_path proxy;\nfastcgi_temp_path fastcgi;\nuwsgi_temp_path uwsgi;\nscgi_temp_path "
               "scgi;\n"
            << "server {\nlisten 127.0.0.1:" << port_ << ";\n"
            << block_of_readme(to) << "}\n}\n";
        process_ = std::make_unique<Process>(
            std::vector<std::string>{program, "-p", folder_.path(), "-c", "nginx.conf", "-e", "stderr"},
            folder_ / "log");
        if (!eventually([this] { return status_of(connect(), "/health", "localhost") != 0; }, 10s))
            throw std::runtime_error("nginx does not answer: " + process_->output());
    }
    ~Proxy() { process_->signal(SIGTERM); }
    [[nodiscard]] Wire connect() const { return Wire::tcp(port_); }

private:
    testing::TemporaryFolder folder_;
    std::uint16_t port_ = testing::free_port();
    std::unique_ptr<Process> process_;
};

TEST(Faults, BehindTheProxyOfReadmeAllThatHolds) {
    if (::access(Proxy::program, X_OK) != 0) GTEST_SKIP() << "nginx is not installed";
    Doors doors{"host_names = [\"cellar.example\"]\n"};
    doors.start();
    const Proxy proxy{doors.port()};
    const auto connect = [&] { return proxy.connect(); };

    EXPECT_EQ(status_of(connect(), "/", "cellar.example"), 200);
    EXPECT_EQ(status_of(connect(), "/", "cellar.example:8443"), 200);
    EXPECT_EQ(status_of(connect(), "/", "evil.example"), 421);
    Wire listener = connect();
    listener.say("GET /api/events HTTP/1.1\r\nHost: cellar.example\r\n\r\n");
    EXPECT_THAT(listener.hear_until("retry: 3000"), HasSubstr("retry: 3000")) << "news come as they happen";
    expect_idlers_do_no_harm(connect);
    expect_guesser_does_not_lock_out(connect);
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
