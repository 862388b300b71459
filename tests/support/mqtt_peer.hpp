#pragma once
/// Somebody else at the broker: a sensor that publishes, a dashboard that listens.

#include <chrono>
#include <memory>
#include <optional>
#include <string>

namespace gyled::testing {

/// Connects in the constructor; nothing is kept for it when it leaves. Throws std::exception when the broker
/// refuses.
class MqttPeer {
public:
    struct Heard {
        std::string topic, payload;
        bool retained = false;
    };

    /// `url` as in the configuration: mqtt://host:port
    MqttPeer(const std::string& url, const std::string& client_id);
    ~MqttPeer();

    /// Returns when the broker has acknowledged it (QoS 1 and 2).
    void publish(const std::string& topic, const std::string& payload, int qos = 1, bool retained = false);
    void subscribe(const std::string& filter);
    /// The next message heard, waiting for it at most that long.
    [[nodiscard]] std::optional<Heard> hear(std::chrono::milliseconds patience = std::chrono::seconds{30});

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::testing
