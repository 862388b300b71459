#include "tests/simulation/pressure/judge/chart.hpp"

#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::pressure_worlds {
namespace {

double volumes_per_psi(double celsius) {
    return 0.01821 + 0.090115 * std::exp(-(base::fahrenheit_from_celsius(celsius) - 32) / 43.11);
}
constexpr double offset_volumes = 0.003342;

}  // namespace

double chart_volumes(double kpa_absolute, double celsius) {
    return base::psi_from_kpa(kpa_absolute) * volumes_per_psi(celsius) - offset_volumes;
}

double chart_kpa(double volumes, double celsius) {
    return base::kpa_from_psi((volumes + offset_volumes) / volumes_per_psi(celsius));
}

}  // namespace gyled::pressure_worlds
