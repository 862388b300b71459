#include "sensors/virtual_vessel/plant/kinetics/climate.hpp"

#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double dies_at_c = 36.0;
constexpr double dies_within_c = 1.5;

double logistic(double x) {
    return 1.0 / (1.0 + std::exp(-x));
}

}  // namespace

double Warmth::dormancy(double celsius) const {
    return logistic(dormant_below_c - celsius);
}

double Warmth::vigour(double celsius) const {
    const double arrhenius = std::exp(activation_kj_per_mol * 1000.0 / base::gas_constant *
                                      (1.0 / base::kelvin(reference_c) - 1.0 / base::kelvin(celsius)));
    return arrhenius * (1.0 - dormancy(celsius)) * logistic((dies_at_c - celsius) / dies_within_c);
}

Warmth draw_warmth(base::Culture culture, Random& random) {
    if (culture == base::Culture::lager) return {11, random.between(55, 70), random.between(1.5, 4)};
    return {20, random.between(50, 65), random.between(9, 12)};
}

double CardinalTemperatures::vigour(double celsius) const {
    if (celsius <= coldest_c || celsius >= hottest_c) return 0;
    const double over = celsius - coldest_c;
    const double span = best_c - coldest_c;
    return (celsius - hottest_c) * over * over /
           (span * (span * (celsius - best_c) - (best_c - hottest_c) * (best_c + coldest_c - 2.0 * celsius)));
}

}  // namespace gyled::virtual_vessel
