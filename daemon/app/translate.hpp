#pragma once
/// From the configuration's words to each folder's own settings: the edges do not know each other.

#include "daemon/cellar/cellar.hpp"
#include "daemon/config/config.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/web/server.hpp"

namespace gyled::app {

[[nodiscard]] cellar::CellarSpec cellar_spec(const config::Config& config);

/// Throws std::runtime_error when the password cannot be read.
[[nodiscard]] mqtt::Settings mqtt_settings(const config::Config& config, std::vector<std::string> filters);
/// Throws std::runtime_error when the write token cannot be read.
[[nodiscard]] web::Settings web_settings(const config::Config& config);
/// The secret's text; empty when none is named. Throws std::runtime_error, naming `what`, when it cannot be
/// read.
[[nodiscard]] std::string secret_text(const config::Secret& secret, const std::string& what);

}  // namespace gyled::app
