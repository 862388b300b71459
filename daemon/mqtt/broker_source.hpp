#pragma once
/// The real source: a broker of MQTT 5 or 3.1.1 through Paho.

#include <functional>
#include <memory>

#include "daemon/mqtt/source.hpp"
#include "daemon/mqtt/spool.hpp"
#include "sensors/decode/text.hpp"

namespace gyled::mqtt {

/// Files in PEM. An empty name is left to the TLS library's default; an own certificate needs its key.
struct Tls {
    std::string ca_file, certificate_file, key_file;
};

/// Which version of MQTT to speak.
enum class Protocol : std::uint8_t {
    automatic,  ///< 5, and 3.1.1 with a broker that does not know 5
    mqtt_5,
    mqtt_3_1_1,
};

struct Settings {
    std::string url = "mqtt://127.0.0.1:1883";  ///< mqtt://host[:port] or mqtts://host[:port]
    std::string client_id = "gyled";            ///< fixed: the broker keeps our session under this name
    std::string user, password;                 ///< empty: none
    Protocol protocol = Protocol::automatic;
    Tls tls;  ///< used with mqtts:// only; the broker's certificate is always checked
    Duration session_expiry = std::chrono::hours{24 * 7};  ///< how long an MQTT 5 broker keeps what we missed
    std::vector<std::string> filters;                      ///< subscribed with QoS 1 on each connect
    std::string publish_prefix = "gyled";                  ///< <prefix>/status carries the last will
    /// Does anybody know what time it is? Any thread; it stands in the spool beside the arrival.
    std::function<bool()> clock_is_set = [] { return true; };
    std::string spool;  ///< segments are <spool>.<number>; empty: no spool
    SpoolLimits spool_limits;
    std::size_t queue_bound = 10'000;                 ///< messages; when full the broker holds the rest
    std::size_t queue_bytes_bound = 8 * 1024 * 1024;  ///< topics and payloads together; likewise
    std::size_t group_bytes_bound = 1024 * 1024;      ///< what one `drain` takes, but for the last message
    std::size_t payload_limit =
        sensors::longest_payload_bytes;  ///< no sensor reads a larger one; it is refused
    std::chrono::seconds keep_alive{30};
    std::chrono::seconds connect_patience{15};  ///< for TCP, TLS and the broker's answer together
    std::chrono::seconds reconnect_first{
        1};  ///< wait before the first attempt to reconnect; doubled each time ...
    std::chrono::seconds reconnect_longest{30};  ///< ... up to this
};

/// A source over Paho. `now` gives arrival times and `wake` tells the main thread that there is something to
/// drain or an event to take, where there was nothing before; both are called from Paho's threads (`wake`
/// also from `start`, `stop`) and must not throw, nor call back into the source. Throws std::invalid_argument
/// for settings that cannot work, SpoolInUse when another process holds the spool. A spool that cannot be
/// opened otherwise is told as an event and done without.
[[nodiscard]] std::unique_ptr<Source> connect_to_broker(Settings settings, std::function<Timestamp()> now,
                                                        std::function<void()> wake);

}  // namespace gyled::mqtt
