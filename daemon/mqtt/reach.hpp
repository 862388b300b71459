#pragma once
/// Why nobody can be reached at an address, in the system's words: Paho keeps them to itself.

#include <chrono>
#include <optional>
#include <string>

namespace gyled::mqtt {

/// Host and port of mqtt://host[:port] or mqtts://host[:port]; the port is 1883 or 8883 when none is written.
struct Address {
    std::string host, port;
};
[[nodiscard]] Address address_of(const std::string& url);

/// Opens a TCP connection and closes it again. Nothing when that worked; else why not: "Connection refused".
/// Blocks, at most `patience` beside the look-up of the name.
[[nodiscard]] std::optional<std::string> why_unreachable(const Address& address,
                                                         std::chrono::milliseconds patience);

}  // namespace gyled::mqtt
