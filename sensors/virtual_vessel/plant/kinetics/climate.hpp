#pragma once
/// How temperature moves yeast.

#include <array>

#include "daemon/base/stage.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"

namespace gyled::virtual_vessel {

/// Arrhenius around a reference, falling asleep in the cold, dying of heat above some 36 degC.
struct Warmth {
    double reference_c = 20;
    double activation_kj_per_mol = 57;
    double dormant_below_c = 10.5;  ///< half asleep at this temperature

    /// How fast it works, relative to the reference.
    [[nodiscard]] double vigour(double celsius) const;
    /// The sleeping share, 0 to 1.
    [[nodiscard]] double dormancy(double celsius) const;
};
/// Ale 20 degC, 50 to 65 kJ/mol, asleep below 9 to 12 degC; lager 11 degC, 55 to 70 kJ/mol, asleep below 1.5
/// to 4 degC: Q10 of 2 to 3, common practice.
[[nodiscard]] Warmth draw_warmth(base::Culture culture, Random& random);

/// Growth between a coldest, a best and a hottest temperature, relative to the best. Source: Rosso, Lobry and
/// Flandrois, J. Theor. Biol. 162 (1993) 447: the cardinal temperature model with inflection.
struct CardinalTemperatures {
    double coldest_c = 3;
    double best_c = 29;
    double hottest_c = 37;

    [[nodiscard]] double vigour(double celsius) const;
};

/// What one step of fermentation finds. `hours` at most a quarter.
struct Moment {
    double hours;
    double celsius;
    double viability;  ///< share of the yeast that has not given up
};

/// One step of the midpoint rule. Nothing falls below zero.
template <std::size_t n, typename Slope>
void step_midpoint(std::array<double, n>& now, double hours, const Slope& slope) {
    const std::array<double, n> first = slope(now);
    std::array<double, n> middle = now;
    for (std::size_t i = 0; i < n; ++i) middle[i] += 0.5 * hours * first[i];
    const std::array<double, n> along = slope(middle);
    for (std::size_t i = 0; i < n; ++i) {
        const double next = now[i] + hours * along[i];
        now[i] = next > 0 ? next : 0;
    }
}

/// Michaelis and Menten, Monod: food / (half + food).
[[nodiscard]] constexpr double saturation(double food, double half) {
    return food <= 0 ? 0 : food / (half + food);
}

}  // namespace gyled::virtual_vessel
