#pragma once
/// Where in a payload one sensor's number stands.

#include <string>

#include "sensors/decode/json.hpp"
#include "sensors/decode/shape.hpp"

namespace gyled::sensors {

/// Checked when it is made, and then only read; several payloads may be read with it at once.
struct Place {
    PayloadKind kind = PayloadKind::number;
    JsonPlace json;    ///< for `json` only
    std::string name;  ///< for `senml` only: base name followed by name, never empty
};

}  // namespace gyled::sensors
