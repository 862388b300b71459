#pragma once
/// From the configuration's words to each folder's own settings: the edges do not know each other. Any
/// thread.

#include "daemon/app/housekeeping.hpp"
#include "daemon/config/config.hpp"
#include "daemon/mqtt/broker_source.hpp"
#include "daemon/pipeline/pipeline.hpp"
#include "daemon/web/server.hpp"

namespace gyled::app {

/// Throws std::runtime_error when the password cannot be read.
[[nodiscard]] mqtt::Settings mqtt_settings(const config::Config& config, std::vector<std::string> filters);
/// Throws std::runtime_error when the write token cannot be read.
[[nodiscard]] web::Settings web_settings(const config::Config& config);
[[nodiscard]] pipeline::Parameters pipeline_parameters(const config::Config& config);
[[nodiscard]] HousekeepingParameters housekeeping_parameters(const config::Config& config);

/// The secret's text; empty when none is named. Throws std::runtime_error, naming `what`, when it cannot be
/// read.
[[nodiscard]] std::string secret_text(const config::Secret& secret, const std::string& what);

}  // namespace gyled::app
