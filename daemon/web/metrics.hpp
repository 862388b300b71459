#pragma once
/// /metrics: the watch and what it believes, in the text format that Prometheus scrapes (version 0.0.4).

#include <string>

#include "daemon/web/backend.hpp"

namespace gyled::web {

/// Names begin with gyled_; values are in canonical units, named in the label "unit"; moments are Unix
/// seconds. What is not known is left out.
[[nodiscard]] std::string metrics_text(const Backend& backend);

}  // namespace gyled::web
