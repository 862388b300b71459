#pragma once
/// The families of worlds that forecasts are judged on, by name. Five strengths and five temperatures over
/// the seeds of each; every seed draws its own yeast, plan and instruments.

#include <span>
#include <string_view>

#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

struct Kind {
    std::string_view name;
    World (*make)(std::uint64_t seed);
    double per_seed = 1;  ///< worlds for each seed that is asked for
    std::vector<World> (*before)(std::uint64_t) =
        nullptr;  ///< earlier batches of the same culture, to learn from
};

[[nodiscard]] std::span<const Kind> kinds();

}  // namespace gyled::ferment_worlds
