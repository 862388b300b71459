#include "daemon/estimation/gravity/thermal_time.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/fermentation.hpp"
#include "daemon/estimation/gravity/parameters.hpp"

namespace gyled::estimation::gravity {
namespace {
constexpr ThermalParameters thermal;

ThermalParameters::Sleep sleep_of(base::Culture culture) {
    return culture == base::Culture::lager ? thermal.sleep_lager : thermal.sleep;
}
}  // namespace

ThermalMix::ThermalMix(double energy_kj_per_mol, double work_asleep) {
    const double e = std::clamp(energy_kj_per_mol, thermal.energy_min_kj, thermal.energy_max_kj);
    constexpr double step = thermal.usual_kj - thermal.gentle_kj;
    const double x = (e - thermal.usual_kj) / step;
    weights_ = {x * (x - 1.0) / 2, 1.0 - x * x, x * (x + 1.0) / 2, work_asleep};
}

double reference_c(base::Culture culture) {
    return culture == base::Culture::lager ? thermal.reference_c_lager : thermal.reference_c;
}

double wakefulness(base::Culture culture, double beer_c) {
    const ThermalParameters::Sleep sleep = sleep_of(culture);
    return 1.0 / (1.0 + std::exp(-(beer_c - sleep.edge_c) / sleep.softness_c));
}

ThermalTime thermal_speed(base::Culture culture, double beer_c) {
    const double at_c = std::clamp(beer_c, thermal.beer_c_min, thermal.beer_c_max);
    const auto rate = [&](double energy_kj) {
        return brewing::rate_factor_arrhenius(energy_kj, reference_c(culture), at_c);
    };
    const double awake = wakefulness(culture, at_c);
    const double usual = rate(thermal.usual_kj);
    return {awake * rate(thermal.gentle_kj), awake * usual, awake * rate(thermal.steep_kj),
            (1.0 - awake) * usual};
}

}  // namespace gyled::estimation::gravity
