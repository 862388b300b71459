/// Each kind of world through the real core, held to what was reached before: every line of budgets.tsv. The
/// table for reading is gyled-simulate's.

#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>

#include "tests/simulation/budgets.hpp"

namespace gyled::simulation {

/// So that a test of one kind is called by its name.
void PrintTo(const Kind& kind, std::ostream* out) {
    *out << kind.name;
}

namespace {

class Worlds : public testing::TestWithParam<Kind> {};

/// One test for each kind, so its worlds are lived through once.
TEST_P(Worlds, KeepTheirBudgets) {
    const Kind& kind = GetParam();
    const std::vector<Score> scores = live(kind);
    int held = 0;
    for (const Budget& budget : read_budgets()) {
        if (budget.world != kind.name) continue;
        ++held;
        const auto value = value_of(scores, budget.figure);
        if (!value) {
            ADD_FAILURE() << budget.figure << ": nothing to look at any more, was " << budget.measured;
            continue;
        }
        // The file has four digits.
        const double rounding = 1e-3 * std::abs(budget.bound);
        if (budget.at_least)
            EXPECT_GE(*value, budget.bound - rounding) << budget.figure << ", was " << budget.measured;
        else
            EXPECT_LE(*value, budget.bound + rounding) << budget.figure << ", was " << budget.measured;
    }
    EXPECT_GT(held, 0) << "no budget for this kind of world";
}

INSTANTIATE_TEST_SUITE_P(Simulation, Worlds, testing::ValuesIn(kinds()), [](const auto& one) {
    std::string called{one.param.name};
    std::ranges::replace(called, '-', '_');
    return called;
});

TEST(Budgets, NameOnlyWorldsThatThereAre) {
    for (const Budget& budget : read_budgets())
        EXPECT_TRUE(std::ranges::count(kinds(), budget.world, [](const Kind& k) {
            return std::string{k.name};
        })) << budget.world;
}

TEST(Score, CountsWhatAnIntervalHeld) {
    Score one;
    one.look("co2_volumes", "sealed", {2.0, 1.9, 2.1}, 2.05);
    one.look("co2_volumes", "sealed", {2.0, 1.9, 2.1}, 2.15);
    one.look("co2_volumes", "vented", {2.0, 1.8, 2.1}, 1.80);

    EXPECT_EQ(held_share({one}, "co2_volumes/sealed"), 0.5);
    EXPECT_NEAR(held_share({one}, "co2_volumes").value(), 2.0 / 3, 1e-9);
    EXPECT_NEAR(value_of({one}, "width co2_volumes/vented").value(), 0.3, 1e-9);
    EXPECT_FALSE(held_share({one}, "co2"));
}

}  // namespace
}  // namespace gyled::simulation
