#include "daemon/brewing/sealed_vessel.hpp"

#include <boost/math/tools/toms748_solve.hpp>
#include <cstdint>

namespace gyled::brewing {
namespace {

constexpr double kpa_max = 10'000.0;

}  // namespace

double co2_mol(SealedVessel vessel, GasState at) {
    if (!(vessel.beer_litres >= 0.0 && vessel.headspace_litres >= 0.0))
        return std::numeric_limits<double>::quiet_NaN();
    const double dissolved_mol_per_litre =
        volumes_in_beer(at.celsius, at.pressure, vessel.beer_factor) / normal_molar_volume;
    const double gas_mol_per_litre =
        co2_partial_kpa(at.celsius, at.pressure) /
        (compressibility(at.celsius, at.pressure) * gas_constant * kelvin(at.celsius));
    return vessel.beer_litres * dissolved_mol_per_litre + vessel.headspace_litres * gas_mol_per_litre;
}

Pressure pressure_after(SealedVessel vessel, GasState sealed, double celsius) {
    const double mol = co2_mol(vessel, sealed);
    const auto too_much_at = [&](double kpa) {
        return co2_mol(vessel, {celsius, Pressure::from_kpa_absolute(kpa)}) - mol;
    };
    const double kpa_min = vapour_pressure(celsius).kpa_absolute();
    const double at_least = too_much_at(kpa_min);
    const double at_most = too_much_at(kpa_max);
    if (!(at_least <= 0.0 && at_most > 0.0)) return Pressure::from_kpa_absolute(std::nan(""));
    std::uintmax_t steps = 60;
    const auto [low, high] =
        boost::math::tools::toms748_solve(too_much_at, kpa_min, kpa_max, at_least, at_most,
                                          boost::math::tools::eps_tolerance<double>(40), steps);
    return Pressure::from_kpa_absolute((low + high) / 2.0);
}

double settled_co2_kpa(SealedVessel vessel, double volumes, double celsius) {
    constexpr double first_guess_kpa = 150.0;  // fugacity and Z bend so little that any would do
    constexpr int rounds = 4;                  // each leaves some 2 % of the error of the one before
    double kpa = first_guess_kpa;
    const double ideal = normal_molar_volume * k0_mol_per_litre_atm(celsius) / 101.325;
    for (int i = 0; i < rounds; ++i) {
        const auto gas = Pressure::from_kpa_absolute(kpa);
        kpa = volumes / (vessel.beer_factor * ideal * fugacity_coefficient(celsius, gas) +
                         1.0 / kpa_per_volume(vessel, {celsius, gas}));
    }
    return kpa;
}

}  // namespace gyled::brewing
