#pragma once
/// The bounded queue between Paho's thread, which puts, and the main thread, which drains. Knows nothing of
/// MQTT.

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "daemon/mqtt/arrivals.hpp"
#include "daemon/mqtt/broker_source.hpp"
#include "daemon/mqtt/resent.hpp"
#include "daemon/mqtt/spool.hpp"

namespace gyled::mqtt {

/// How a message was sent, as far as it matters here.
enum class Delivery : std::uint8_t {
    unacknowledged,  ///< QoS 0: never sent again
    once,            ///< QoS 1, for the first time
    again,           ///< QoS 1, because our acknowledgement did not reach the broker
};

class Inbox {
public:
    /// What the spool kept from earlier runs comes first. A spool that cannot be opened is told and done
    /// without; throws SpoolInUse when another process holds it. `now` is for that telling only.
    Inbox(const Settings& settings, Timestamp now, std::function<void()> wake);

    /// Paho's thread: spools and queues one message; waits while the queue is full. When this returns, the
    /// message may be acknowledged. Its arrival becomes the next free one (arrivals.hpp); what the broker
    /// sends again and we have is passed over. What no sensor could read is counted and refused: an oversized
    /// payload, a topic that only an earlier configuration asked for. Never throws.
    void put(Message message, Delivery how = Delivery::once) noexcept;
    /// Paho's thread: we are connected anew, and before any message of that connection.
    void connected();
    /// Any thread: tells the main thread of a change.
    void note(ConnectionEvent event) noexcept;
    /// From now on nobody waits for room: the end is near, and what has arrived is kept.
    void stop_waiting();

    [[nodiscard]] MessageGroup drain(std::size_t max);
    [[nodiscard]] std::vector<Message> look_ahead(std::size_t max);
    void release(std::uint64_t batch);
    void rewind();
    [[nodiscard]] MessageGroup drain_again(std::size_t max);
    [[nodiscard]] std::vector<ConnectionEvent> take_events();
    /// The inbox's part of the figures.
    [[nodiscard]] Figures figures() const;

private:
    void open_spool(Timestamp now);
    [[nodiscard]] bool refuse(const Message& message);
    void stamp(Message& message);  ///< waits when it would run too far ahead
    [[nodiscard]] bool has_room() const;
    void wait_for_room();
    [[nodiscard]] bool spool(const Message& message, Delivery how);
    void tell_spool_problem(const std::string& problem, Timestamp at);
    [[nodiscard]] MessageGroup drain_spool(std::size_t max);
    [[nodiscard]] MessageGroup drain_queue(std::size_t max);

    const Settings settings_;
    const std::function<void()> wake_;
    std::optional<Spool> spool_;
    bool left_over_drained_ = true;  ///< who drains touches this ...
    std::size_t looked_at_ = 0;  ///< ... and this: messages of the queue, while `left_over_drained_` is false

    Resent resent_;
    Arrivals arrivals_;

    std::mutex turn_;  ///< one message at a time, so that spool and queue agree on the order
    std::uint64_t sequence_last_put_ = 0;

    mutable std::mutex mutex_;  ///< guards what follows; held for moments only
    std::condition_variable room_;
    struct Queued {
        Message message;
        bool in_spool = false;
    };
    std::deque<Queued> queue_;
    std::size_t queue_bytes_ = 0;
    std::uint64_t sequence_last_drained_ = 0;
    std::vector<ConnectionEvent> events_;
    bool waiting_allowed_ = true;
    Figures figures_;
};

}  // namespace gyled::mqtt
