#pragma once
/// The words by which a configuration says how a payload is built.

#include <cstdint>

namespace gyled::sensors {

enum class PayloadKind : std::uint8_t {
    number,  ///< bare decimal number, perhaps with its unit
    json,    ///< a document of any shape (RFC 8259)
    senml,   ///< RFC 8428, in JSON
};

/// How a JSON document writes its time.
enum class TimeUnit : std::uint8_t {
    automatic,     ///< RFC 3339 text, else seconds, or ms when above 1e11
    seconds,       ///< since 1970, may be fractional
    milliseconds,  ///< since 1970
    rfc3339,       ///< text only
};

}  // namespace gyled::sensors
