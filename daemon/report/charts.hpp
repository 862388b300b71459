#pragma once
/// Which charts the record of a batch has, and what stands in each.

#include <vector>

#include "daemon/report/material.hpp"
#include "daemon/report/plot.hpp"

namespace gyled::report {

/// Those that hold anything: brew day, gravity, temperature, pressure, dissolved CO2.
[[nodiscard]] std::vector<Plot> charts(const Material& material);
/// Attenuation over the hours since pitching, with the envelope of the earlier batches; empty without one.
[[nodiscard]] Plot comparison_chart(const Material& material);

}  // namespace gyled::report
