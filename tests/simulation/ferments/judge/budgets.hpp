#pragma once
/// What today's estimators reach on a slice of the table, and how much worse it may become before a test
/// fails.
///
/// budgets.tsv has a line each: row, target, "met" or the figure as a number that should be small, the bound.
/// `gyled-ferment-worlds --budgets > tests/simulation/ferments/budgets.tsv` writes them anew; the difference
/// tells what a change of an estimator did, and belongs into its commit. Worlds are seeded, so nothing here
/// is luck.

#include "tests/simulation/judging/table.hpp"

namespace gyled::ferment_worlds {

inline constexpr int slice_seeds = 2;  ///< of each family: some two minutes on one core

struct Budget {
    std::string row, target;
    bool must_be_met = false;  ///< as it is today; else `bound` is what counts
    double measured = 0, bound = 0;
};

/// All of the lines that is worth a bound, with the bound that today's figure earns.
[[nodiscard]] std::vector<Budget> earned(const std::vector<judging::Line>& lines);
[[nodiscard]] std::string line_of(const Budget& budget);
/// budgets.tsv. Throws std::runtime_error when it cannot be read.
[[nodiscard]] std::vector<Budget> read_budgets();

}  // namespace gyled::ferment_worlds
