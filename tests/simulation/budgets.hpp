#pragma once
/// What today's estimators reach on the virtual vessel, and how much worse they may become before a test
/// fails.
///
/// The figures stand in budgets.tsv, one line each: world, figure, the value measured when the line was
/// written, the bound. `gyled-simulate --budgets > tests/simulation/budgets.tsv` writes them anew; the
/// difference tells what a change of an estimator did, and belongs into its commit. Worlds are seeded, so
/// nothing here is luck.

#include <span>
#include <string>
#include <vector>

#include "tests/simulation/score.hpp"

namespace gyled::simulation {

/// One kind of world, and how many seeds of it the tests live through.
struct Kind {
    std::string_view name;
    virtual_vessel::Scenario (*make)(std::uint64_t seed);
    int seeds;
};
inline constexpr std::uint64_t first_seed = 101;
/// Every scenario, and an ale whose blow-off is blocked on its second day.
[[nodiscard]] const std::vector<Kind>& kinds();
[[nodiscard]] std::vector<Score> live(const Kind& kind);

struct Budget {
    std::string world;
    std::string figure;  ///< as `value_of` takes it
    double measured = 0;
    bool at_least = true;  ///< else at most
    double bound = 0;
};

/// "held WHAT": share of the 90 % intervals that held the truth; "width WHAT": their median width; "median
/// FIGURE" and "sum FIGURE" over the seeds. WHAT is quantity/phase. A sum of nothing is 0; else nothing when
/// nobody looked.
[[nodiscard]] std::optional<double> value_of(const std::vector<Score>& scores, const std::string& figure);

/// All that is worth a bound in these worlds, with the bound that today's value earns.
[[nodiscard]] std::vector<Budget> earned(const Kind& kind, const std::vector<Score>& scores);

[[nodiscard]] std::string line_of(const Budget& budget);
/// budgets.tsv. Throws std::runtime_error when it cannot be read.
[[nodiscard]] std::vector<Budget> read_budgets();

}  // namespace gyled::simulation
