#pragma once
/// The lines of the table: each row beside its target and beside what other methods come to.

#include "tests/simulation/ferments/judge/rows.hpp"
#include "tests/simulation/judging/table.hpp"

namespace gyled::ferment_worlds {

[[nodiscard]] std::vector<judging::Line> lines_of(const Ledger& ledger);

/// Titles of what stands beside.
inline const std::vector<std::string> methods{fit_method, line_method, last_method};

}  // namespace gyled::ferment_worlds
