#pragma once
/// JSON as this edge writes it: keys in the order we wrote them, no infinities, any bytes survived.

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "daemon/base/time.hpp"

namespace gyled::json {

using Json = nlohmann::ordered_json;

/// JSON has no infinity and no NaN: both become null.
[[nodiscard]] inline Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}
[[nodiscard]] inline Json number(const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
}
/// A moment as RFC 3339 in UTC.
[[nodiscard]] inline Json moment(base::Timestamp t) {
    return base::to_rfc3339(t);
}
[[nodiscard]] inline Json moment(const std::optional<base::Timestamp>& t) {
    return t ? moment(*t) : Json(nullptr);
}
/// The document as text. Bytes that are not UTF-8 (a topic, a payload's echo) become U+FFFD instead of a
/// failure.
[[nodiscard]] inline std::string text(const Json& document) {
    return document.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace gyled::json
