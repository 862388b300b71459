#pragma once
/// A private MQTT broker for tests: mosquitto on a free loopback port, with its files in a folder of its own.

#include <sys/types.h>

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace gyled::testing {

/// A folder under the system's temporary one that goes away with its owner.
class TemporaryFolder {
public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    [[nodiscard]] std::string operator/(const std::string& name) const { return (path_ / name).string(); }

private:
    std::filesystem::path path_;
};

/// Not running until `start`. Keeps port and sessions over stop, kill and start. All functions throw
/// std::runtime_error when the broker does not do as told within ten seconds. The destructor ends the broker.
class Broker {
public:
    /// `more_settings`: further lines for mosquitto.conf; with a listener among them the usual one, which
    /// lets anybody in, is left out. `%PORT%` in them stands for the port.
    explicit Broker(std::string more_settings = {});
    ~Broker();
    Broker(const Broker&) = delete;
    Broker& operator=(const Broker&) = delete;

    void start();  ///< returns when the port accepts connections
    void stop();   ///< politely: the broker saves its sessions
    void kill();   ///< as by a power cut of the broker; what it has not saved is gone
    /// Freezes and thaws the process: connections stay open, nobody answers.
    void freeze();
    void thaw();
    [[nodiscard]] bool running() const { return process_ > 0; }

    [[nodiscard]] std::uint16_t port() const { return port_; }
    [[nodiscard]] std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }
    /// Publishes with QoS 1 from a process of its own (one line each) and returns when all are acknowledged.
    /// For tests that hold up a client in this process: Paho's clients share one lock, so a peer here would
    /// be held up as well.
    void publish_from_outside(const std::string& topic, const std::vector<std::string>& payloads) const;
    [[nodiscard]] std::string log() const;  ///< what mosquitto said so far, for failure messages
    [[nodiscard]] const TemporaryFolder& folder() const { return folder_; }

private:
    void end(int signal);

    TemporaryFolder folder_;
    std::uint16_t port_ = 0;
    pid_t process_ = -1;
};

/// A loopback port that nobody listens on just now.
[[nodiscard]] std::uint16_t free_port();

}  // namespace gyled::testing
