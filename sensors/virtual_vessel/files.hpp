#pragma once
/// What the brewer would have written about this vessel and this batch, in TOML.

#include <string>

#include "sensors/virtual_vessel/plant/scenario.hpp"

namespace gyled::virtual_vessel {

/// A batch file: stages with their times and bands, and what the brewer expects.
[[nodiscard]] std::string batch_file(const Scenario& scenario);

struct ConfigNames {
    std::string broker_url;
    std::string topic_prefix;
};
/// A configuration for the daemon that listens to this vessel and nothing else.
[[nodiscard]] std::string config_file(const Scenario& scenario, const ConfigNames& names);

}  // namespace gyled::virtual_vessel
