#include "sensors/virtual_vessel/plant/yeast.hpp"

#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::virtual_vessel {
namespace {

double logistic(double x) {
    return 1.0 / (1.0 + std::exp(-x));
}

Yeast draw_ale(Random& random) {
    Yeast y{};
    y.reference_c = 20;
    y.pitch = random.between(0.20, 0.40);
    y.readiness = std::exp(random.between(-2.2, -0.4));
    y.growth_per_h = random.between(0.10, 0.15);
    y.growth_limit = random.between(1.6, 2.6);
    y.fast_uptake = random.between(0.55, 0.85);
    y.fast_half = random.between(5, 10);
    y.slow_uptake = random.between(0.22, 0.36);
    y.slow_half = random.between(4, 8);
    y.slow_repression = random.between(10, 25);
    y.slow_share = random.between(0.14, 0.24);
    y.ethanol_limit = random.between(105, 140);
    y.activation_kj_per_mol = random.between(50, 65);
    y.dormant_below_c = random.between(9, 12);
    y.settling_per_h = random.between(0.005, 0.015);
    y.attenuation_percent = random.between(70, 80);
    return y;
}

Yeast draw_lager(Random& random) {
    Yeast y = draw_ale(random);
    y.reference_c = 11;
    y.pitch = random.between(0.4, 0.7);
    y.growth_per_h = random.between(0.050, 0.080);
    y.fast_uptake = random.between(0.22, 0.36);
    y.slow_uptake = random.between(0.10, 0.18);
    y.slow_share = random.between(0.12, 0.20);
    y.activation_kj_per_mol = random.between(55, 70);
    y.dormant_below_c = random.between(1.5, 4);
    y.settling_per_h = random.between(0.003, 0.008);
    y.attenuation_percent = random.between(75, 82);
    return y;
}

Yeast draw_mixed(Random& random) {
    Yeast y = draw_ale(random);
    y.second_pitch = random.between(0.004, 0.010);
    y.second_growth_per_h = random.between(0.010, 0.020);
    y.second_limit = random.between(0.25, 0.40);
    y.second_uptake = random.between(0.09, 0.16);
    y.second_half = random.between(6, 10);
    y.second_attenuation_percent = random.between(86, 97);
    return y;
}

}  // namespace

Yeast draw_yeast(base::Culture culture, Random& random) {
    switch (culture) {
        case base::Culture::lager:
            return draw_lager(random);
        case base::Culture::mixed:
            return draw_mixed(random);
        case base::Culture::ale:
            break;
    }
    return draw_ale(random);
}

double dormancy(const Yeast& yeast, double celsius) {
    return logistic((yeast.dormant_below_c - celsius) / 1.0);
}

double vigour(const Yeast& yeast, double celsius) {
    const double arrhenius =
        std::exp(yeast.activation_kj_per_mol * 1000.0 / base::gas_constant *
                 (1.0 / base::kelvin(yeast.reference_c) - 1.0 / base::kelvin(celsius)));
    const double killed_by_heat = logistic((celsius - 36.0) / 1.5);
    return arrhenius * (1.0 - dormancy(yeast, celsius)) * (1.0 - killed_by_heat);
}

}  // namespace gyled::virtual_vessel
