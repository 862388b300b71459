#include "daemon/mqtt/negotiation.hpp"

#include <fmt/format.h>

namespace gyled::mqtt {

std::string_view name(Version version) {
    return version == Version::mqtt_5 ? "MQTT 5" : "MQTT 3.1.1";
}

Negotiation::Negotiation(Protocol wanted)
    : wanted_{wanted},
      version_{wanted == Protocol::mqtt_3_1_1 ? Version::mqtt_3_1_1 : Version::mqtt_5},
      settled_{wanted != Protocol::automatic} {}

bool Negotiation::falls_back(const ConnectFailure& failure) {
    using Kind = ConnectFailure::Kind;
    if (settled_) return false;
    const bool was_first = version_ == Version::mqtt_5;
    const bool version_in_doubt = failure.kind == Kind::closed || failure.kind == Kind::version_refused;
    tried_both_ = !was_first;
    version_ = was_first && version_in_doubt ? Version::mqtt_3_1_1 : Version::mqtt_5;
    return version_ == Version::mqtt_3_1_1;
}

std::string Negotiation::words(const ConnectFailure& failure) const {
    using Kind = ConnectFailure::Kind;
    const std::string spoken = tried_both_ ? "MQTT 5 and MQTT 3.1.1" : std::string{name(version_)};
    if (failure.kind == Kind::version_refused)
        return fmt::format(
            "the broker refuses {}{}", spoken,
            wanted_ == Protocol::automatic ? "" : ": protocol = \"auto\" would try the other version");
    if (failure.kind == Kind::closed)
        return fmt::format(
            "something listens there, but ends the connection without an answer to {}: is it a "
            "broker's port, does it want TLS (mqtts://), a certificate of ours ([broker.tls])"
            "{}?",
            spoken, tried_both_ ? "" : ", or another version (protocol = \"auto\")");
    return failure.words;
}

std::string words_of(Version version) {
    std::string words{name(version)};
    if (version == Version::mqtt_3_1_1)
        words +=
            ": how long our session is kept is up to the broker (session_expiry is not heard), it gives no "
            "reason when it ends the connection, and nothing keeps oversized messages from coming";
    return words;
}

}  // namespace gyled::mqtt
