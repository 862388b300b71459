#include "daemon/estimation/thermal_time.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::estimation {
namespace {
constexpr double gentle_kj = 30.0;
constexpr double usual_kj = 55.0;
constexpr double steep_kj = 80.0;

/// Where half of the culture has gone to sleep, and how gradually. Common practice: an ale drops out below 10
/// degC, a lager works on down to about 4.
struct Sleep {
    double edge_c;
    double softness_c;
};
Sleep sleep_of(base::Culture culture) {
    return culture == base::Culture::lager ? Sleep{3.0, 0.7} : Sleep{8.5, 0.9};
}
}  // namespace

ThermalMix::ThermalMix(double energy_kj_per_mol, double work_asleep) {
    const double e = std::clamp(energy_kj_per_mol, 20.0, 95.0);
    constexpr double step = usual_kj - gentle_kj;
    const double x = (e - usual_kj) / step;
    weights_ = {0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0), work_asleep};
}

double reference_c(base::Culture culture) {
    return culture == base::Culture::lager ? 11.0 : 20.0;
}

double wakefulness(base::Culture culture, double beer_c) {
    const Sleep sleep = sleep_of(culture);
    return 1.0 / (1.0 + std::exp(-(beer_c - sleep.edge_c) / sleep.softness_c));
}

ThermalTime thermal_speed(base::Culture culture, double beer_c) {
    const double warm_c = std::clamp(beer_c, -2.0, 38.0);
    const double per_kelvin = 1.0 / base::kelvin(reference_c(culture)) - 1.0 / base::kelvin(warm_c);
    const double x = 1000.0 / base::gas_constant * per_kelvin;
    const double awake = wakefulness(culture, warm_c);
    const double usual = std::exp(usual_kj * x);
    return {awake * std::exp(gentle_kj * x), awake * usual, awake * std::exp(steep_kj * x),
            (1.0 - awake) * usual};
}

}  // namespace gyled::estimation
