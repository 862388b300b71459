#pragma once
/// What the weakest part bears, as far as it was told, and what is said against a pressure. Pure; any thread.

#include <optional>
#include <string>
#include <vector>

#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

/// --rating and --relief.
[[nodiscard]] std::vector<Argument> limit_arguments();
/// kPa gauge: the most that may be meant to stand in the vessel; nothing: neither was told.
[[nodiscard]] std::optional<double> bearable_kpa(const Given& given);

/// Judges a pressure that may come about, kPa gauge: refuses beyond what the weakest part bears, else
/// cautions. `way_out`: what to do instead, a sentence's end that never names a higher pressure.
void judge(Answer& answer, const std::string& lead, double kpa_gauge, const Given& given, const Site& site,
           const std::string& way_out);

}  // namespace gyled::cli::calc
