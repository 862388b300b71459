#include "sensors/virtual_vessel/plant/carbon_dioxide.hpp"

#include <cmath>

#include "daemon/base/units.hpp"
#include "sensors/virtual_vessel/plant/steam.hpp"

namespace gyled::virtual_vessel {
namespace {

using base::gas_constant;
using base::kelvin;

constexpr double water_critical_kelvin = 647.096;
constexpr double water_kg_per_mol = 0.018015268;
constexpr double co2_critical_kelvin = 304.13;
constexpr double co2_critical_kpa = 7377.3;
/// Redlich and Kwong's b, L/mol, and their a over R T sqrt(T), L/mol.
constexpr double covolume = 0.08664 * gas_constant * co2_critical_kelvin / co2_critical_kpa;
double attraction(double t) {
    const double inverse = co2_critical_kelvin / t;
    return 0.42748 * gas_constant * co2_critical_kelvin / co2_critical_kpa * inverse * std::sqrt(inverse);
}
/// p / (R T d).
double compressibility(double mol_per_l, double t) {
    const double bd = covolume * mol_per_l;
    return 1.0 / (1.0 - bd) - attraction(t) * mol_per_l / (1.0 + bd);
}

}  // namespace

double henry_kpa(double celsius) {
    const double reduced = kelvin(celsius) / water_critical_kelvin;
    const double left = 1.0 - reduced;
    return steam_pressure_kpa(celsius) * std::exp((-8.55445 + 4.01195 * std::pow(left, 0.355)) / reduced +
                                                  9.52345 * std::pow(reduced, -0.41) * std::exp(left));
}

double solubility_mol_per_l_kpa(double celsius) {
    return water_kg_per_l(celsius) / water_kg_per_mol / henry_kpa(celsius);
}

double diffusivity_m2_per_s(double celsius) {
    return 2.35e-6 * std::exp(-2119.0 / kelvin(celsius));
}

double co2_pressure_kpa(double mol_per_l, double celsius) {
    const double t = kelvin(celsius);
    return gas_constant * t * mol_per_l * compressibility(mol_per_l, t);
}

double co2_mol_per_l(double kpa, double celsius) {
    double low = 0;
    double high = 2.0 * kpa / (gas_constant * kelvin(celsius));
    for (int halving = 0; halving < 60; ++halving) {
        const double middle = (low + high) / 2.0;
        (co2_pressure_kpa(middle, celsius) < kpa ? low : high) = middle;
    }
    return (low + high) / 2.0;
}

double co2_fugacity_kpa(double mol_per_l, double celsius) {
    if (mol_per_l <= 0) return 0;
    const double t = kelvin(celsius);
    const double bd = covolume * mol_per_l;
    const double z = compressibility(mol_per_l, t);
    const double log_phi = z - 1.0 - std::log(z * (1.0 - bd)) - attraction(t) / covolume * std::log1p(bd);
    return gas_constant * t * mol_per_l * z * std::exp(log_phi);
}

}  // namespace gyled::virtual_vessel
