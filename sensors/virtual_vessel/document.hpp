#pragma once
/// What a sensor says, as it travels: a topic and a small JSON document.

#include <string>

#include "sensors/virtual_vessel/plant/instruments.hpp"

namespace gyled::virtual_vessel {

struct Document {
    Timestamp arrival{};
    std::string topic;
    std::string payload;
};

/// The field of the payload that carries the value: "sg", "celsius" or "kpa".
[[nodiscard]] std::string_view field_of(Quantity measured);

/// `<prefix>/<quantity>` and, for instance, {"sg":1.0213,"ts":"2026-03-02T07:15:00Z"}.
[[nodiscard]] Document document_of(const Sample& sample, const std::string& topic_prefix);

}  // namespace gyled::virtual_vessel
