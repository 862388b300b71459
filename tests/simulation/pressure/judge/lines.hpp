#pragma once
/// The lines of the table: each row beside its target.

#include "tests/simulation/judging/table.hpp"

namespace gyled::pressure_worlds {

/// The chart's score stands beside, with the +- that fits it best.
[[nodiscard]] std::vector<judging::Line> lines_of(const judging::Ledger& ledger);

/// Titles of what stands beside.
inline const std::vector<std::string> methods{"chart's"};

}  // namespace gyled::pressure_worlds
