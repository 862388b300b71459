#pragma once
/// A private broker of another make than mosquitto, from npm: it speaks MQTT 3.1.1 and no 5
/// (tests/support/small_broker/broker.cjs).

#include <sys/types.h>

#include <cstdint>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/support/broker.hpp"

namespace gyled::testing {

/// PEM files. With `ca` the broker wants a certificate of its clients.
struct SmallBrokerTls {
    std::string certificate, key, ca;
};

/// Keeps its port over stop and start, its sessions only while it runs. The destructor ends it.
class SmallBroker {
public:
    /// What it needs cannot be had here: Node.js, npm or its registry.
    struct NotInstalled : std::runtime_error {
        using std::runtime_error::runtime_error;
    };
    explicit SmallBroker(SmallBrokerTls tls = {}, std::string user = {}, std::string password = {});
    ~SmallBroker();
    SmallBroker(const SmallBroker&) = delete;
    SmallBroker& operator=(const SmallBroker&) = delete;

    /// Returns when the port accepts connections; the first time npm fetches it. Throws NotInstalled,
    /// std::runtime_error.
    void start();
    void stop();

    [[nodiscard]] std::string url() const;
    /// Publishes with QoS 1 from a process of its own, without TLS.
    void publish_from_outside(const std::string& topic, const std::vector<std::string>& payloads) const;
    [[nodiscard]] std::string log() const;

private:
    TemporaryFolder folder_;
    SmallBrokerTls tls_;
    std::string user_, password_;
    std::uint16_t port_;
    pid_t process_ = -1;
};

}  // namespace gyled::testing
