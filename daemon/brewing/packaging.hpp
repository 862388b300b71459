#pragma once
/// Packaging live beer: how much gas the bottle will hold once the last sugar is gone.
///
/// **A bottle that holds too much bursts.** The sum is known to +-0.15 volumes from the residual gas and
/// +-0.5 volumes per gravity point by which the terminal gravity is wrong. One reading proves nothing; a
/// slope not yet flat, or a mixed culture without a forced ferment, proves less. Check the pressure at the
/// warmest storage, too (`pressure_after`).

#include <array>
#include <limits>
#include <string_view>
#include <utility>

#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"

namespace gyled::brewing {

/// Sugars for priming.
enum class Sugar { sucrose, glucose, glucose_monohydrate };

/// g of CO2 per g of sugar, by stoichiometry: each C6 unit gives two of ethanol and two of CO2. In practice a
/// few percent less, since yeast grows on it too; reckoning with all of it is the safe side.
[[nodiscard]] constexpr double co2_yield(Sugar sugar) {
    switch (sugar) {
        case Sugar::sucrose:
            return 4.0 * co2_molar_mass / 342.297;
        case Sugar::glucose:
            return 2.0 * co2_molar_mass / 180.156;
        case Sugar::glucose_monohydrate:
            return 2.0 * co2_molar_mass / 198.171;
    }
    return std::numeric_limits<double>::quiet_NaN();
}

/// g of sugar per litre for one volume: sucrose 3.84, glucose 4.05, its monohydrate 4.45. The trade says 4
/// and 4.5.
[[nodiscard]] constexpr double priming_g_per_litre_per_volume(Sugar sugar) {
    return co2_g_per_litre_from_volumes(1.0) / co2_yield(sugar);
}

/// Half a volume of CO2 for every gravity point (0.001) still to ferment, at original gravities of 1.040
/// to 1.080. `co2_volumes_from_drop` reckons it exactly.
inline constexpr double volumes_per_gravity_point = 0.50;

/// Volumes once all is fermented: what is there, what the extract left will add, and the priming sugar.
struct Package {
    double residual_volumes;
    double points_left = 0.0;  ///< gravity points (0.001 SG) still to ferment
    double sugar_g_per_litre = 0.0;
    Sugar sugar = Sugar::sucrose;
};
[[nodiscard]] constexpr double final_volumes(Package package) {
    return package.residual_volumes + volumes_per_gravity_point * package.points_left +
           package.sugar_g_per_litre / priming_g_per_litre_per_volume(package.sugar);
}
/// g of sugar per litre that still lack for `target_volumes`. Negative: there is too much gas already.
[[nodiscard]] constexpr double priming_g_per_litre(double target_volumes, Package unprimed) {
    unprimed.sugar_g_per_litre = 0.0;
    return (target_volumes - final_volumes(unprimed)) * priming_g_per_litre_per_volume(unprimed.sugar);
}

/// The most a container should hold, volumes. Common practice, no standard: scratched returnables are far
/// weaker than new glass. When the bottle is not known, take the unknown one.
inline constexpr double volumes_max_unknown_bottle = 2.5;
inline constexpr double volumes_max_can = 2.7;
inline constexpr double volumes_max_crown_cap_bottle = 3.0;
inline constexpr double volumes_max_heavy_bottle = 4.0;
/// The same by name, the weakest first.
struct PackageKind {
    std::string_view name;
    double volumes_max;
};
inline constexpr std::array package_kinds{PackageKind{"unknown", volumes_max_unknown_bottle},
                                          PackageKind{"can", volumes_max_can},
                                          PackageKind{"crown-cap", volumes_max_crown_cap_bottle},
                                          PackageKind{"heavy-bottle", volumes_max_heavy_bottle}};
inline constexpr std::array sugars{
    std::pair{std::string_view{"sucrose"}, Sugar::sucrose},
    std::pair{std::string_view{"glucose"}, Sugar::glucose},
    std::pair{std::string_view{"glucose-monohydrate"}, Sugar::glucose_monohydrate}};

inline constexpr double residual_volumes_doubt = 0.15;  ///< of the gas that was there before
inline constexpr double terminal_gravity_doubt_points =
    1.0;  ///< what one reading of a hydrometer leaves open

}  // namespace gyled::brewing
