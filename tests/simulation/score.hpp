#pragma once
/// How good were the beliefs? One score per world; a family of worlds is summed up by medians and shares.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tests/simulation/world.hpp"

namespace gyled::simulation {

/// Of the 90 % intervals looked at, how many held the truth.
struct Coverage {
    int held = 0;
    int looked = 0;
    std::vector<double> widths;
};

/// Figures of one world; what does not apply is missing. Hours, SG, volumes.
struct Score {
    std::map<std::string, double> figures;
    /// By "quantity/phase", as in "gravity_now/tail" or "co2_volumes/sealed".
    std::map<std::string, Coverage> coverage;

    void look(std::string_view quantity, std::string_view phase, const base::Estimate& estimate,
              double truth);
};

[[nodiscard]] Score score(const World& world);

/// Median (for counts: the sum) over scores that have the figure; nothing when none has.
[[nodiscard]] std::optional<double> median_of(const std::vector<Score>& scores, const std::string& figure);
[[nodiscard]] double sum_of(const std::vector<Score>& scores, const std::string& figure);
/// Of one "quantity/phase", or of a quantity over all its phases; nothing when nobody looked.
[[nodiscard]] std::optional<Coverage> coverage_of(const std::vector<Score>& scores, const std::string& what);
[[nodiscard]] std::optional<double> held_share(const std::vector<Score>& scores, const std::string& what);

[[nodiscard]] double median(std::vector<double> values);  ///< of at least one

}  // namespace gyled::simulation
