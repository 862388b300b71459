#pragma once
/// Serving: the line from the vessel to the glass, what is left in the vessel, how long a cylinder lasts.
/// NaN in, NaN out; a volume, bore or flow that is not positive gives no sense.

#include <cmath>
#include <numbers>

#include "daemon/base/pressure.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/solubility.hpp"

namespace gyled::brewing {

/// Beer at serving temperature: its viscosity is 1.8 mPa s at 4 degC (water 1.57, beer a sixth more; common
/// practice), its density that of water to a per cent.
inline constexpr double beer_viscosity_pa_s = 1.8e-3;
inline constexpr double beer_density_kg_m3 = 1010.0;
inline constexpr double gravity_m_s2 = 9.81;

/// What a smooth tube takes from the pressure, kPa per metre, at a flow in litres a minute:
///     dp / L = f rho v^2 / (2 d),   f = 0.3164 Re^-0.25 from Re 4000 on, 64 / Re below 2300
/// Source: Darcy and Weisbach; Blasius 1913; Hagen and Poiseuille; between the two the greater one. A tap,
/// its fittings and bends take as much again as half a metre of line or two: good to some 25 %.
[[nodiscard]] inline double line_kpa_per_m(double bore_mm, double litres_per_min) {
    constexpr double laminar_below = 2300, turbulent_from = 4000, pa_per_kpa = 1000;
    const double d = bore_mm / 1000;
    const double v = litres_per_min / 60'000 / (std::numbers::pi / 4 * d * d);
    const double reynolds = beer_density_kg_m3 * v * d / beer_viscosity_pa_s;
    const double laminar = 64 / reynolds, turbulent = 0.3164 / std::pow(reynolds, 0.25);
    const double f = reynolds < laminar_below    ? laminar
                     : reynolds < turbulent_from ? std::fmax(laminar, turbulent)
                                                 : turbulent;
    return f * beer_density_kg_m3 * v * v / (2 * d) / pa_per_kpa;
}
/// kPa that it takes to lift beer by so many metres.
[[nodiscard]] constexpr double lift_kpa(double metres) {
    return beer_density_kg_m3 * gravity_m_s2 * metres / 1000;
}

/// Litres above the beer before a pour, from the fall of the pressure when so many litres were poured with
/// the gas shut off:  V p1 = (V + poured) p2  (Boyle). Dry gas, absolute. Within a minute beer gives off
/// nothing to speak of; the gas cools as it expands, which reads as some per cent more head space.
[[nodiscard]] constexpr double head_space_by_pour(double poured_litres, double before_kpa, double after_kpa) {
    return poured_litres * after_kpa / (before_kpa - after_kpa);
}

/// g of CO2 that take the place of each litre of beer poured: the gas at this temperature and pressure.
[[nodiscard]] inline double co2_g_per_litre_poured(double celsius, base::Pressure head) {
    return co2_partial_kpa(celsius, head) * co2_molar_mass /
           (compressibility(celsius, head) * base::gas_constant * base::kelvin(celsius));
}

}  // namespace gyled::brewing
