#pragma once
/// How good were the beliefs? One score per world; a family of worlds is summed up by medians and shares.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "tests/simulation/world.hpp"

namespace gyled::simulation {

/// Figures of one world; what does not apply is missing. Hours, SG, volumes.
struct Score {
    std::map<std::string, double> figures;
    /// Of the 90 % intervals looked at, how many held the truth: (held, looked at) per quantity.
    std::map<std::string, std::pair<int, int>> coverage;
};

[[nodiscard]] Score score(const World& world);

/// Median (for counts: the sum) over scores that have the figure; nothing when none has.
[[nodiscard]] std::optional<double> median_of(const std::vector<Score>& scores, const std::string& figure);
[[nodiscard]] double sum_of(const std::vector<Score>& scores, const std::string& figure);
[[nodiscard]] std::optional<double> held_share(const std::vector<Score>& scores, const std::string& quantity);

}  // namespace gyled::simulation
