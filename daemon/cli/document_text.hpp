#pragma once
/// Small words about the API's documents that the verbs' texts share. Pure; any thread.

#include <nlohmann/json.hpp>
#include <string>

namespace gyled::cli {

using Json = nlohmann::ordered_json;

/// The member's text; empty when it is missing, null or no text.
[[nodiscard]] std::string text_of(const Json& object, const char* key);
/// "head_pressure" as a person says it: "head pressure".
[[nodiscard]] std::string spoken(std::string name);

}  // namespace gyled::cli
