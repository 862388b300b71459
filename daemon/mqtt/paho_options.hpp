#pragma once
/// Our settings in Paho's words, and Paho's codes in ours. For this folder only.

#include <mqtt/async_client.h>

#include <string>
#include <string_view>

#include "daemon/mqtt/broker_source.hpp"
#include "daemon/mqtt/negotiation.hpp"

namespace gyled::mqtt {

namespace paho = ::mqtt;

constexpr int at_least_once = 1;

/// Can one publish on it? Not empty, no wildcards, at most 65535 bytes, no NUL.
[[nodiscard]] bool may_be_published_on(std::string_view topic);
/// Hands the settings back, or throws std::invalid_argument with the reason why they cannot work.
[[nodiscard]] Settings checked(Settings settings);
/// tcp:// for mqtt://, ssl:// for mqtts://. Throws std::invalid_argument for anything else.
[[nodiscard]] std::string paho_url(const std::string& url);
[[nodiscard]] paho::connect_options connect_options(const Settings& settings, Version version);
/// Why an attempt to connect failed, as far as Paho or the broker says.
[[nodiscard]] ConnectFailure failure_of(const paho::token& token, Version version);
/// Why another request failed.
[[nodiscard]] std::string reason_of(const paho::token& token);
/// The broker's word for an MQTT 5 reason code, e.g. "Not authorized".
[[nodiscard]] std::string reason_text(int code);

}  // namespace gyled::mqtt
