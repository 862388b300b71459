#pragma once
/// A source of messages that a test fills: it remembers what was released, and can have more than one group.

#include <deque>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/mqtt/source.hpp"

namespace gyled::testing {

/// Thread: one.
class ScriptedSource final : public mqtt::Source {
public:
    void send(std::string topic, std::string payload, base::Timestamp at) {
        waiting.push_back({std::move(topic), std::move(payload), at, false, stamp});
    }

    void start() override { started = true; }
    [[nodiscard]] mqtt::MessageGroup drain(std::size_t max) override {
        mqtt::MessageGroup group{.id = ++groups, .messages = {}, .more = false, .in_spool = spools};
        for (; !waiting.empty() && group.messages.size() < max; waiting.pop_front()) {
            if (spools) spool.emplace_back(group.id, waiting.front());
            group.messages.push_back(std::move(waiting.front()));
        }
        group.more = !waiting.empty();
        return group;
    }
    [[nodiscard]] std::vector<sensors::Message> look_ahead(std::size_t) override {
        return std::exchange(ahead, {});
    }
    void rewind() override {
        again.clear();
        for (const auto& [group, message] : spool) again.push_back(message);
    }
    [[nodiscard]] mqtt::MessageGroup drain_again(std::size_t max) override {
        mqtt::MessageGroup group{.id = 0, .messages = {}, .more = false, .in_spool = true};
        for (; !again.empty() && group.messages.size() < max; again.pop_front())
            group.messages.push_back(std::move(again.front()));
        group.more = !again.empty();
        return group;
    }
    void release(std::uint64_t group) override {
        released.push_back(group);
        std::erase_if(spool, [&](const auto& kept) { return kept.first <= group; });
        if (on_release) on_release();
    }
    [[nodiscard]] std::vector<mqtt::ConnectionEvent> take_events() override {
        return std::exchange(events, {});
    }
    bool publish(std::string_view topic, std::string_view payload, bool, int) override {
        published.emplace_back(topic, payload);
        return true;
    }
    [[nodiscard]] mqtt::Figures figures() const override {
        mqtt::Figures figures;
        figures.connected = !stopped;
        return figures;
    }
    void stop(base::Duration) override { stopped = true; }

    std::deque<sensors::Message> waiting, again;
    std::vector<sensors::Message> ahead;                            ///< to be looked at
    std::vector<std::pair<std::uint64_t, sensors::Message>> spool;  ///< with their groups
    bool spools = true;
    sensors::Stamp stamp = sensors::Stamp::right;  ///< of what is sent from here on
    std::vector<mqtt::ConnectionEvent> events;
    std::vector<std::uint64_t> released;
    std::vector<std::pair<std::string, std::string>> published;
    std::function<void()> on_release;
    std::uint64_t groups = 0;
    bool started = false, stopped = false;
};

}  // namespace gyled::testing
