#include "sensors/virtual_vessel/plant/steam.hpp"

#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double kpa_per_mpa = 1000.0;
/// IAPWS-IF97 Table 34, n1 to n10.
constexpr double n1 = 0.11670521452767e4, n2 = -0.72421316703206e6, n3 = -0.17073846940092e2,
                 n4 = 0.12020824702470e5, n5 = -0.32325550322333e7, n6 = 0.14915108613530e2,
                 n7 = -0.48232657361591e4, n8 = 0.40511340542057e6, n9 = -0.23855557567849,
                 n10 = 0.65017534844798e3;

constexpr double critical_kelvin = 647.096;
constexpr double critical_kg_per_l = 0.322;

constexpr double gravity_m_per_s2 = 9.80665;  // exact, standard gravity
constexpr double air_kg_per_mol = 0.0289644;  // ICAO Doc 7488
constexpr double sea_level_kelvin = 288.15;   // ICAO Doc 7488
constexpr double kelvin_lost_per_m = 0.0065;  // ICAO Doc 7488
constexpr double sea_level_kpa = 101.325;

}  // namespace

double steam_pressure_kpa(double celsius) {
    const double t = base::kelvin(celsius);
    const double theta = t + n9 / (t - n10);
    const double a = theta * theta + n1 * theta + n2;
    const double b = n3 * theta * theta + n4 * theta + n5;
    const double c = n6 * theta * theta + n7 * theta + n8;
    const double root = 2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c));
    return kpa_per_mpa * root * root * root * root;
}

double boiling_point_c(double kpa_absolute) {
    const double beta = std::pow(kpa_absolute / kpa_per_mpa, 0.25);
    const double e = beta * beta + n3 * beta + n6;
    const double f = n1 * beta * beta + n4 * beta + n7;
    const double g = n2 * beta * beta + n5 * beta + n8;
    const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
    const double sum = n10 + d;
    return (sum - std::sqrt(sum * sum - 4.0 * (n9 + n10 * d))) / 2.0 - base::zero_celsius_in_kelvin;
}

double water_kg_per_l(double celsius) {
    // The powers 1/3, 2/3, 5/3, 16/3, 43/3 and 110/3 of the distance from the critical point.
    const double cube = std::cbrt(1.0 - base::kelvin(celsius) / critical_kelvin);
    const double x2 = cube * cube, x4 = x2 * x2, x8 = x4 * x4, x16 = x8 * x8, x32 = x16 * x16;
    const double x5 = x4 * cube, x43 = x32 * x8 * x2 * cube, x110 = x32 * x32 * x32 * x8 * x4 * x2;
    return critical_kg_per_l * (1.0 + 1.99274064 * cube + 1.09965342 * x2 - 0.510839303 * x5 -
                                1.75493479 * x16 - 45.5170352 * x43 - 6.74694450e5 * x110);
}

double air_pressure_kpa(double elevation_m) {
    const double mean_kelvin = sea_level_kelvin - kelvin_lost_per_m * elevation_m / 2.0;
    return sea_level_kpa *
           std::exp(-gravity_m_per_s2 * air_kg_per_mol * elevation_m / (base::gas_constant * mean_kelvin));
}

}  // namespace gyled::virtual_vessel
