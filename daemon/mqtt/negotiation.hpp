#pragma once
/// Which version of MQTT the next attempt speaks. A broker that knows no MQTT 5 may answer its CONNECT with a
/// refusal (CONNACK 0x01 of MQTT 3.1.1, section 3.2.2.3; 0x84 of MQTT 5, section 3.2.2.2) or, as both
/// standards allow, only close the connection. Knows nothing of Paho.

#include <string>

#include "daemon/mqtt/broker_source.hpp"

namespace gyled::mqtt {

/// As the protocol level in a CONNECT counts: MQTT 3.1.1 is 4.
enum class Version : std::uint8_t { mqtt_3_1_1 = 4, mqtt_5 = 5 };
[[nodiscard]] std::string_view name(Version version);

/// Why an attempt to connect failed.
struct ConnectFailure {
    enum class Kind : std::uint8_t {
        no_connection,    ///< no TCP or TLS connection, or no answer in time
        closed,           ///< the connection stood, and ended without an answer to our CONNECT
        version_refused,  ///< the broker says that it does not know this version
        refused,          ///< for another reason, `words`
    } kind{};
    std::string words;
};

/// Thread: its owner's.
class Negotiation {
public:
    explicit Negotiation(Protocol wanted);

    [[nodiscard]] Version version() const { return version_; }  ///< of the next attempt
    /// The attempt succeeded: from now on this version is spoken, until the next start. A broker on its way
    /// down must not talk us out of MQTT 5.
    void succeeded() { settled_ = true; }
    /// The attempt failed. True when the other version is worth an attempt at once; else the words for the
    /// person, and the next round begins anew.
    [[nodiscard]] bool falls_back(const ConnectFailure& failure);
    [[nodiscard]] std::string words(const ConnectFailure& failure) const;

private:
    const Protocol wanted_;
    Version version_;
    bool settled_ = false;
    bool tried_both_ = false;  ///< in this round
};

/// "MQTT 3.1.1: ..." with what MQTT 5 would give and this version does not.
[[nodiscard]] std::string words_of(Version version);

}  // namespace gyled::mqtt
