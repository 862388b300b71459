#pragma once
/// The API's documents as text for a terminal. Pure functions: the texts in the person's units come with the
/// documents.

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace gyled::cli {

/// What stands, what of the watch does not work, then one screen per vessel; takes the answer of
/// /api/vessels.
[[nodiscard]] std::string status_text(const nlohmann::ordered_json& answer);
/// What could not be used, by reason; empty when everything could. Takes the answer of /api/sensors.
[[nodiscard]] std::string rejected_text(const nlohmann::ordered_json& answer);

}  // namespace gyled::cli
