#pragma once
/// A source under test together with a main thread's part: waits for the wake-up, drains, remembers.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <set>
#include <string>
#include <vector>

#include "daemon/mqtt/broker_source.hpp"
#include "tests/support/broker.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::mqtt {

using namespace std::chrono_literals;
using testing::Broker;
using testing::eventually;
using testing::MqttPeer;
using testing::TemporaryFolder;

inline Timestamp wall_clock() {
    return std::chrono::time_point_cast<base::Duration>(std::chrono::system_clock::now());
}

inline Settings settings_for(const Broker& broker) {
    Settings settings;
    settings.url = broker.url();
    settings.client_id = "gyled-under-test";
    settings.filters = {"cellar/#"};
    return settings;
}

class Listening {
public:
    explicit Listening(const Settings& settings, std::function<Timestamp()> now = wall_clock)
        : source{connect_to_broker(settings, std::move(now), [this] { ring(); })} {}

    /// Takes what is there, after each wake-up, until `enough` holds. False when it took longer than
    /// `patience`.
    template <class Claim>
    bool take_until(Claim enough, std::chrono::milliseconds patience = 30s) {
        const auto deadline = std::chrono::steady_clock::now() + patience;
        for (;;) {
            take();
            if (enough()) return true;
            std::unique_lock lock{mutex_};
            if (!bell_.wait_until(lock, deadline, [this] { return rung_; })) return false;
            rung_ = false;
        }
    }
    bool wait_connected(std::uint64_t times = 1) {
        return take_until([&] { return count(ConnectionEvent::Kind::connected) >= times; });
    }
    bool wait_messages(std::size_t number) {
        return take_until([&] { return messages.size() >= number; });
    }

    [[nodiscard]] std::size_t count(ConnectionEvent::Kind kind) const {
        return static_cast<std::size_t>(std::ranges::count_if(
            events, [kind](const ConnectionEvent& event) { return event.kind == kind; }));
    }
    [[nodiscard]] std::set<std::string> payloads() const {
        std::set<std::string> all;
        for (const Message& message : messages) all.insert(message.payload);
        return all;
    }
    void take() {
        MessageGroup batch;
        do {
            batch = source->drain(1000);
            for (Message& message : batch.messages) messages.push_back(std::move(message));
        } while (batch.more);
        batch_last = batch.id;
        for (ConnectionEvent& event : source->take_events()) events.push_back(std::move(event));
    }

    std::vector<Message> messages;
    std::vector<ConnectionEvent> events;
    std::uint64_t batch_last = 0;

private:
    void ring() {
        {
            const std::lock_guard guard{mutex_};
            rung_ = true;
        }
        bell_.notify_one();
    }
    std::mutex mutex_;
    std::condition_variable bell_;
    bool rung_ = false;

public:
    std::unique_ptr<Source> source;  ///< last: it rings the bell until it is gone
};

}  // namespace gyled::mqtt
