#pragma once
/// Where messages come from, as an interface: the pipeline and its tests know no more of MQTT than this. The
/// real one (broker_source.hpp) is a broker of MQTT 5 or 3.1.1, a spool that outlives a crash, and a bounded
/// queue in between.
///
/// Nothing the broker has been told we received is lost when this process dies: the acknowledgement of a QoS
/// 1 message leaves only after the message stands in the spool, and the spool is dropped only when the caller
/// says that the message is committed (`release`). The spool is written, not synced: a power cut may lose
/// what was not committed yet. Messages may come twice, after a reconnect or (up to two groups of commits)
/// after a crash; the key (sensor, time) absorbs that.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::mqtt {

using base::Duration;
using base::Timestamp;
using sensors::Message;

/// A change that the main thread should know of.
struct ConnectionEvent {
    enum class Kind : std::uint8_t {
        connected,
        disconnected,          ///< or the first attempt failed; `text` says why; attempts go on by themselves
        subscription_refused,  ///< `text` names the filter and the broker's reason
        session_lost,          ///< the broker had forgotten us: what was published while we were away is lost
        rival,                 ///< another client uses our id; each throws the other out
        spool_failed,  ///< `text` says why; messages still flow, but a crash would lose those not committed
    };
    Kind kind{};
    std::string text;
    Timestamp at;
};

/// What one `drain` took.
struct MessageGroup {
    std::uint64_t id = 0;  ///< for `release`; grows from group to group
    std::vector<Message> messages;
    bool more = false;  ///< the queue was not emptied: drain again, no further wake-up will come for the rest
    /// They stand in the spool until they are released: all of them, or none.
    bool in_spool = false;
};

struct Figures {
    bool connected = false;
    std::string trouble;  ///< why not, as last told; empty while connected
    int mqtt_version =
        0;  ///< of the connection, as the standards count: 5, or 4 for MQTT 3.1.1; 0: never yet
    std::size_t queue_depth = 0;      ///< messages not yet drained, those of the spool included
    std::uint64_t received = 0;       ///< messages taken into the queue, those of the spool included
    std::uint64_t replayed = 0;       ///< of these, left in the spool by an earlier run
    std::uint64_t oversized = 0;      ///< payloads above the limit, refused
    std::uint64_t unclaimed = 0;      ///< on topics that only an earlier configuration asked for, refused
    std::uint64_t waited = 0;         ///< messages that had to wait for room in the queue
    std::uint64_t connects = 0;       ///< successful connects
    std::uint64_t sessions_lost = 0;  ///< connects at which the broker had forgotten us
    std::optional<Timestamp> rival_since;  ///< another client uses our id
    std::uint64_t published = 0;           ///< handed to the connection
    std::uint64_t publish_dropped = 0;  ///< not connected, too many under way, or not a topic to publish on
    std::uint64_t spool_failures = 0;   ///< messages that could not be written to the spool
    std::optional<Timestamp> spool_failing_since;  ///< the latest message was not written
    std::string spool_problem;                     ///< why; empty while the spool works, and without one
    /// Bytes at the end of an earlier run's segments that were no whole record.
    std::uint64_t spool_torn_bytes = 0;
};

/// Thread: all functions are called from one thread (the main loop); none blocks but `stop`. None throws.
class Source {
public:
    virtual ~Source() = default;

    /// Begins to connect, and returns at once; the broker may still be down. Call it once.
    virtual void start() = 0;
    /// Up to `max` messages in order of arrival, first those that an earlier run left in the spool (also
    /// before `start`).
    [[nodiscard]] virtual MessageGroup drain(std::size_t max) = 0;
    /// While what an earlier run left is being drained: up to `max` messages that arrived behind it, each
    /// once, to be looked at ahead of their turn. `drain` gives them nevertheless.
    [[nodiscard]] virtual std::vector<Message> look_ahead(std::size_t max) = 0;
    /// The messages of all groups up to and including `group` are committed: the spool may forget them.
    virtual void release(std::uint64_t group) = 0;
    /// `drain_again` begins anew, with the oldest message that was not released.
    virtual void rewind() = 0;
    /// Once more, of what had been drained before the last `rewind` and stands in the spool, up to `max`
    /// messages in order of arrival. Some that are released already may be among them. The group has no
    /// number of its own.
    [[nodiscard]] virtual MessageGroup drain_again(std::size_t max) = 0;
    /// Changes since the last call, oldest first.
    [[nodiscard]] virtual std::vector<ConnectionEvent> take_events() = 0;
    /// Hands a message to the connection and returns. False, and counted, when it was dropped.
    virtual bool publish(std::string_view topic, std::string_view payload, bool retained, int qos) = 0;
    [[nodiscard]] virtual Figures figures() const = 0;
    /// Says "offline" on <prefix>/status, disconnects and ends its threads, within `at_most`. The broker
    /// keeps the session. Afterwards the queue may still hold messages: drain, commit and release once more.
    /// The destructor stops too.
    virtual void stop(Duration at_most = std::chrono::seconds{3}) = 0;
};

}  // namespace gyled::mqtt
