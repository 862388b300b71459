#pragma once
/// Where messages come from: an MQTT 5 broker, a spool that outlives a crash, and a bounded queue in between.
///
/// Nothing the broker has been told we received is lost when this process dies: the acknowledgement of a QoS
/// 1 message leaves only after the message stands in the spool, and the spool is dropped only when the caller
/// says that the message is committed (`release`). The spool is written, not synced: a power cut may lose
/// what was not committed yet. Messages may come twice, after a reconnect or (up to two groups of commits)
/// after a crash; the key (sensor, time) absorbs that.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::mqtt {

using base::Duration;
using base::Timestamp;
using sensors::Message;

/// Files in PEM. An empty name is left to the TLS library's default; an own certificate needs its key.
struct Tls {
    std::string ca_file, certificate_file, key_file;
};

struct Settings {
    std::string url = "mqtt://127.0.0.1:1883";  ///< mqtt://host[:port] or mqtts://host[:port]
    std::string client_id = "gyled";            ///< fixed: the broker keeps our session under this name
    std::string user, password;                 ///< empty: none
    Tls tls;  ///< used with mqtts:// only; the broker's certificate is always checked
    Duration session_expiry = std::chrono::hours{24 * 7};  ///< how long the broker keeps what we missed
    std::vector<std::string> filters;                      ///< subscribed with QoS 1 on each connect
    std::string publish_prefix = "gyled";                  ///< <prefix>/status carries the last will
    std::string spool;                                     ///< segments are <spool>.<number>; empty: no spool
    std::size_t queue_bound = 10'000;                      ///< messages; when full the broker holds the rest
    std::size_t payload_limit = 1024 * 1024;               ///< bytes; a larger payload is counted and dropped
    std::chrono::seconds keep_alive{30};
    std::chrono::seconds reconnect_first{
        1};  ///< wait before the first attempt to reconnect; doubled each time ...
    std::chrono::seconds reconnect_longest{30};  ///< ... up to this
};

/// A change that the main thread should know of.
struct Event {
    enum class Kind : std::uint8_t {
        connected,
        disconnected,          ///< or the first attempt failed; `text` says why; attempts go on by themselves
        subscription_refused,  ///< `text` names the filter and the broker's reason
        spool_failed,  ///< `text` says why; messages still flow, but a crash would lose those not committed
    };
    Kind kind{};
    std::string text;
    Timestamp at;
};

/// What one `drain` took.
struct Batch {
    std::uint64_t id = 0;  ///< for `release`; grows from batch to batch
    std::vector<Message> messages;
    bool more = false;  ///< the queue was not emptied: drain again, no further wake-up will come for the rest
};

struct Figures {
    bool connected = false;
    std::size_t queue_depth = 0;
    std::uint64_t received = 0;         ///< messages taken into the queue, those of the spool included
    std::uint64_t replayed = 0;         ///< of these, left in the spool by an earlier run
    std::uint64_t oversized = 0;        ///< payloads above the limit, dropped
    std::uint64_t waited = 0;           ///< messages that had to wait for room in the queue
    std::uint64_t connects = 0;         ///< successful connects
    std::uint64_t published = 0;        ///< handed to the connection
    std::uint64_t publish_dropped = 0;  ///< not connected, too many under way, or not a topic to publish on
    std::uint64_t spool_failures = 0;   ///< messages that could not be written to the spool
    std::uint64_t spool_torn_bytes =
        0;  ///< bytes at the end of an earlier run's segments that were no whole record
};

/// Thread: all functions are called from one thread (the main loop); none blocks but `stop`. None throws.
class Source {
public:
    virtual ~Source() = default;

    /// Begins to connect, and returns at once; the broker may still be down. Call it once.
    virtual void start() = 0;
    /// Up to `max` messages in order of arrival, first those that an earlier run left in the spool (also
    /// before `start`).
    [[nodiscard]] virtual Batch drain(std::size_t max) = 0;
    /// The messages of all batches up to and including `batch` are committed: the spool may forget them.
    virtual void release(std::uint64_t batch) = 0;
    /// Changes since the last call, oldest first.
    [[nodiscard]] virtual std::vector<Event> take_events() = 0;
    /// Hands a message to the connection and returns. False, and counted, when it was dropped.
    virtual bool publish(std::string_view topic, std::string_view payload, bool retained, int qos) = 0;
    [[nodiscard]] virtual Figures figures() const = 0;
    /// Says "offline" on <prefix>/status, disconnects and ends its threads, within `at_most`. The broker
    /// keeps the session. Afterwards the queue may still hold messages: drain, commit and release once more.
    /// The destructor stops too.
    virtual void stop(Duration at_most = std::chrono::seconds{3}) = 0;
};

/// A source over Paho. `now` gives arrival times and `wake` tells the main thread that there is something to
/// drain or an event to take, where there was nothing before; both are called from Paho's threads (`wake`
/// also from `start`, `stop`) and must not throw, nor call back into the source. Throws std::invalid_argument
/// for settings that cannot work, std::runtime_error when the spool cannot be opened.
[[nodiscard]] std::unique_ptr<Source> connect_to_broker(Settings settings, std::function<Timestamp()> now,
                                                        std::function<void()> wake);

}  // namespace gyled::mqtt
