#pragma once
/// A JSON document of any shape, with RFC 6901 pointers to the value and, perhaps, to its time.

#include <optional>

#include "sensors/decode/json_text.hpp"
#include "sensors/decode/shape.hpp"

namespace gyled::sensors {

/// Where in the document to look.
struct JsonPlace {
    nlohmann::json::json_pointer value{};
    std::optional<nlohmann::json::json_pointer> time{};  ///< nothing: time of arrival
    TimeUnit time_unit = TimeUnit::automatic;
};

/// Reads two pointers as a person wrote them; an empty `value` is the whole document, an empty `time` none.
/// Throws std::invalid_argument, naming the pointer, when one is not RFC 6901.
[[nodiscard]] JsonPlace json_place(const std::string& value, const std::string& time, TimeUnit time_unit);

/// A number, or a number in a string (perhaps with its unit), at the place. A missing or null time means that
/// the payload has none; one that cannot be read is a reason. Reasons: no_such_pointer, null_value,
/// not_a_number, bad_time, and those of `read_number`. Never throws.
[[nodiscard]] Decoded decode_json(const nlohmann::json& document, const JsonPlace& place);

}  // namespace gyled::sensors
