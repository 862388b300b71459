#pragma once
/// The real thing: MQTT 5, QoS 1.

#include <deque>
#include <mutex>

#include <mqtt/async_client.h>

#include "sensors/virtual_vessel/outlet.hpp"

namespace gyled::virtual_vessel {

struct BrokerOptions {
    std::string url;  ///< mqtt://host[:port] or mqtts://host[:port]
    std::string user;
    std::string password;
    std::string
        topic_prefix;  ///< commands arrive on <prefix>/trouble, answers leave on <prefix>/trouble/answer
};

/// Keeps a bounded number of messages under way. When the connection is lost it comes back by itself and
/// sends again what was not acknowledged, so a message may arrive twice but none is lost while the program
/// lives. Called from one thread; Paho's own thread only queues commands.
class BrokerOutlet final : public Outlet {
public:
    /// Connects. Throws std::runtime_error when the broker cannot be reached or refuses us.
    explicit BrokerOutlet(const BrokerOptions& options);
    ~BrokerOutlet() override;

    void deliver(const Document& document) override;
    void finish() override;
    std::optional<std::string> next_command() override;
    void answer(const std::string& text) override;

private:
    struct UnderWay {
        Document document;
        mqtt::delivery_token_ptr token;
    };
    void connect();
    void reconnect();
    void subscribe();
    /// False while there is no connection.
    [[nodiscard]] bool send(UnderWay& one);
    /// Waits for the oldest to be acknowledged. False when it was not within `span`.
    bool settle_oldest(std::chrono::milliseconds span);

    BrokerOptions options_;
    mqtt::async_client client_;
    mqtt::connect_options connect_options_;
    std::size_t window_ = 1;  ///< most messages under way
    std::deque<UnderWay> under_way_;
    std::mutex mutex_;
    std::deque<std::string> commands_;  ///< guarded by mutex_
};

}  // namespace gyled::virtual_vessel
