/// A slice of the table, held to what was reached before: every line of budgets.tsv.

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/simulation/ferments/judge/budgets.hpp"
#include "tests/simulation/ferments/judge/lines.hpp"
#include "tests/simulation/ferments/judge/live.hpp"

namespace gyled::ferment_worlds {
namespace {

TEST(FermentSlice, KeepsItsBudgets) {
    Ledger ledger;
    for (const Kind& kind : kinds()) live_through(kind, slice_seeds, ledger);
    const std::vector<judging::Line> lines = lines_of(ledger);

    const std::vector<Budget> budgets = read_budgets();
    EXPECT_FALSE(budgets.empty());
    for (const Budget& budget : budgets) {
        const auto line = std::ranges::find_if(
            lines, [&](const judging::Line& l) { return l.row == budget.row && l.target == budget.target; });
        if (line == lines.end()) {
            ADD_FAILURE() << budget.row << ", " << budget.target << ": no such row any more";
            continue;
        }
        constexpr double four_digits = 1.001;  // as the file has them
        const bool is_kept = budget.must_be_met ? line->met : line->off <= budget.bound * four_digits + 1e-9;
        EXPECT_TRUE(is_kept) << budget.row << " came to " << line->figure << ", " << line->off << "; "
                             << budget.target << ", was " << budget.measured;
    }
}

}  // namespace
}  // namespace gyled::ferment_worlds
