#pragma once
/// The alarm log as text for a terminal. Pure; any thread.

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace gyled::cli {

/// Two lines or one for each, newest first. Takes the answer of /api/alarms; throws nlohmann::json::exception
/// when it is none.
[[nodiscard]] std::string alarms_text(const nlohmann::ordered_json& answer);

}  // namespace gyled::cli
