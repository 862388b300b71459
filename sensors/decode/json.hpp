#pragma once
/// A JSON document of any shape, with RFC 6901 pointers to the value and, perhaps, to its time, to its unit,
/// and to the name of the probe it speaks of.

#include <optional>
#include <string>
#include <vector>

#include "sensors/decode/json_text.hpp"
#include "sensors/decode/shape.hpp"

namespace gyled::sensors {

using JsonPointer = nlohmann::json::json_pointer;

/// Tells the messages, or the elements of a list, that speak of one probe.
struct JsonWhere {
    JsonPointer pointer;
    std::string equals;  ///< the text that stands there; a number or true and false as JSON writes them
};

/// Where in the document to look.
struct JsonPlace {
    JsonPointer value{};
    std::optional<JsonPointer> time{};  ///< nothing: time of arrival
    TimeUnit time_unit = TimeUnit::automatic;
    std::string zone = "UTC";           ///< of a time without an offset; a known one
    std::optional<JsonPointer> unit{};  ///< nothing: the document says none
    std::optional<JsonWhere> where{};   ///< nothing: it speaks of one thing only
};

/// A pointer as a person wrote it. Throws std::invalid_argument, naming it, when it is not RFC 6901.
[[nodiscard]] JsonPointer json_pointer(const std::string& text);
/// Reads two pointers; an empty `value` is the whole document, an empty `time` none. Throws as
/// `json_pointer`.
[[nodiscard]] JsonPlace json_place(const std::string& value, const std::string& time, TimeUnit time_unit);

/// The parts of the document that speak of the place's probe: all of it when there is no `where`; with one,
/// the document, or those elements of a document that is a list. May be empty. They live in `document`.
[[nodiscard]] std::vector<const nlohmann::json*> parts_of(const nlohmann::json& document,
                                                          const JsonPlace& place);

/// A number, or a number in a string (perhaps with its unit), at the place. A missing or null time means that
/// the payload has none; one that cannot be read is a reason. A time without an offset is one of the place's
/// zone; which of two, when clocks went back, `arrived` decides: no reading was taken after it arrived.
/// Reasons: no_such_pointer, null_value, not_a_number, bad_time, wrong_unit (no text at the unit's pointer,
/// or two units), and those of `read_number`. Never throws.
[[nodiscard]] Decoded decode_json(const nlohmann::json& document, const JsonPlace& place, Timestamp arrived);

}  // namespace gyled::sensors
