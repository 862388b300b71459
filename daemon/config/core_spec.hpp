#pragma once
/// From the configuration's words to the core's own specification. Pure; any thread.

#include "daemon/cellar/cellar.hpp"
#include "daemon/config/config.hpp"

namespace gyled::config {

[[nodiscard]] cellar::CellarSpec core_spec(const Config& config);

}  // namespace gyled::config
