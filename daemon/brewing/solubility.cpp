#include "daemon/brewing/solubility.hpp"

#include <boost/math/policies/policy.hpp>
#include <boost/math/special_functions/lambert_w.hpp>

namespace gyled::brewing {

using base::fahrenheit_from_celsius;
using base::kpa_from_psi;
using base::psi_from_kpa;
namespace {

/// What no pressure can do becomes NaN, not an exception.
using NanOnError = boost::math::policies::policy<
    boost::math::policies::domain_error<boost::math::policies::ignore_error>,
    boost::math::policies::overflow_error<boost::math::policies::ignore_error>,
    boost::math::policies::evaluation_error<boost::math::policies::ignore_error>>;

constexpr double fahrenheit(double celsius) {
    return fahrenheit_from_celsius(celsius);
}
constexpr double sea_level_psi(Pressure p) {
    return psi_from_kpa(p.kpa_gauge(standard_atmosphere));
}
constexpr Pressure from_sea_level_psi(double psi) {
    return Pressure::from_kpa_gauge(kpa_from_psi(psi), standard_atmosphere);
}

}  // namespace

Pressure pressure_for_volumes(double celsius, double volumes, double beer_factor) {
    // (p - w) exp(b p) = c, with b = B / R T below zero; so b (p - w) = W(b c exp(-b w)).
    const double b = virial_term(celsius, Pressure::from_kpa_absolute(1.0));
    const double w = vapour_pressure(celsius).kpa_absolute();
    const double c = 101.325 * volumes / (beer_factor * normal_molar_volume * k0_mol_per_litre_atm(celsius));
    if (!(c >= 0.0 && std::isfinite(c))) return Pressure::from_kpa_absolute(std::nan(""));
    return Pressure::from_kpa_absolute(w +
                                       boost::math::lambert_w0(b * c * std::exp(-b * w), NanOnError{}) / b);
}

Pressure chart_pressure(double celsius, double volumes) {
    const double t = fahrenheit(celsius);
    return from_sea_level_psi(-16.6999 - 0.0101059 * t + 0.00116512 * t * t + 0.173354 * t * volumes +
                              4.24267 * volumes - 0.0684226 * volumes * volumes);
}

double chart_volumes(double celsius, Pressure total) {
    const double t = fahrenheit(celsius);
    const double a = -0.0684226;
    const double b = 0.173354 * t + 4.24267;
    const double c = -16.6999 - 0.0101059 * t + 0.00116512 * t * t - sea_level_psi(total);
    return (-b + std::sqrt(b * b - 4.0 * a * c)) / (2.0 * a);
}

}  // namespace gyled::brewing
