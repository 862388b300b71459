#pragma once
/// What is to happen in one batch, and how it is lived: plans of temperature, crashes and troubles.

#include "tests/simulation/ferments/truth/kinetics.hpp"
#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

enum class Chill : std::uint8_t { none, after_days, day_after, early };
enum class Trouble : std::uint8_t { none, cold_shock, drops, creep };

/// What is to happen; hours.
struct Script {
    double set_c = 20;
    std::optional<double> stepped_h;  ///< then 3 degC warmer
    bool step_is_told = false;
    Chill chill = Chill::none;
    double chill_share = 1;  ///< of the drop, for an early one
    Trouble trouble = Trouble::none;
    double trouble_share = 0.6;  ///< of the drop
    double creep_points = 3;
    double creep_h = 72;  ///< its time constant
};

/// Lives the truth of a batch from pitching until nothing more is to be seen of it. Given: its original and
/// terminal gravity and its beginning.
void play(World& world, Kinetics kinetics, const Script& script, Random& random);

}  // namespace gyled::ferment_worlds
