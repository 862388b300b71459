#include "daemon/estimation/trend/tightness.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/tightness.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"
#include "daemon/estimation/trend/parameters.hpp"

namespace gyled::estimation::trend {
namespace {

constexpr TightnessParameters test;

bool is_finite(const TightnessReading& r) {
    return std::isfinite(r.kpa) && std::isfinite(r.celsius) && std::isfinite(r.air.kpa_absolute());
}

double gas_of(const TightnessReading& r) {
    return brewing::dry_gas_mol_per_litre(r.celsius, base::Pressure::from_kpa_gauge(r.kpa, r.air));
}

/// From here on it is quiet in there: somebody has put gas in, or the stage has begun.
bool begins_anew(const TightnessSums& sums, const TightnessReading& r) {
    return sums.stage_since != r.stage_since ||
           brewing::kpa_of_gas(gas_of(r) - sums.most_gas, r.celsius) > test.rise_kpa;
}

TightnessSums anew(const TightnessReading& r) {
    TightnessSums sums;
    sums.stage_since = r.stage_since;
    sums.first = std::max(r.at, r.stage_since) + test.settling;
    sums.most_gas = gas_of(r);
    return sums;
}

void count(TightnessSums& sums, const TightnessReading& r) {
    if (sums.count == 0) {
        sums.first = r.at;
        sums.most_gas = sums.first_gas = gas_of(r);
    }
    const double h = base::hours_between(*sums.first, r.at), gas = gas_of(r) - sums.first_gas;
    sums.last_counted = r.at;
    sums.count += 1;
    sums.hours += h;
    sums.hours2 += h * h;
    sums.gas += gas;
    sums.gas2 += gas * gas;
    sums.hours_gas += h * gas;
    sums.kpa += r.kpa;
    sums.celsius += r.celsius;
}

base::Estimate around(double value, double sigma) {
    const double half = statistics::sigmas_of_90_percent * sigma;
    return {value, value - half, value + half};
}

/// kPa an hour, one sigma, that no number of readings takes away.
double steady_doubt(double hours, double kpa_absolute, double celsius, bool weather_counts) {
    const double warmth_kpa = kpa_absolute * test.warmth_c / base::kelvin(celsius);
    const double once = std::hypot(test.drift_kpa, warmth_kpa) / hours;
    return weather_counts ? std::hypot(once, test.weather_kpa_per_h) : once;
}

}  // namespace

void add(TightnessSums& sums, const TightnessReading& reading) {
    if (!is_finite(reading) || (sums.last && reading.at <= *sums.last)) return;
    if (begins_anew(sums, reading)) sums = anew(reading);
    sums.last = reading.at;
    if (reading.at >= *sums.first && reading.kpa >= test.pressure_min_kpa) count(sums, reading);
}

std::optional<Tightness> tightness(const TightnessSums& sums, bool weather_counts) {
    if (sums.count < test.count_min || !sums.first || !sums.last_counted) return std::nullopt;
    const base::Duration over = *sums.last_counted - *sums.first;
    if (over < test.span_min) return std::nullopt;
    const double n = sums.count, celsius = sums.celsius / n, kpa = sums.kpa / n;
    const double spread = sums.hours2 - sums.hours * sums.hours / n;
    const double together = sums.hours_gas - sums.hours * sums.gas / n;
    if (!(spread > 0)) return std::nullopt;
    const double slope = together / spread;
    const double squares = std::max(0.0, sums.gas2 - sums.gas * sums.gas / n - slope * together);
    const double scatter = std::sqrt(squares / (n - 2) / spread);
    const double per_kpa = 1 / brewing::kpa_of_gas(1, celsius);
    const double hours = base::hours_between(*sums.first, *sums.last_counted);
    const double doubt =
        steady_doubt(hours, kpa + base::standard_atmosphere.kpa_absolute(), celsius, weather_counts);
    const base::Estimate mol = around(-slope, std::hypot(scatter, doubt * per_kpa));
    return Tightness{.kpa_per_hour = {mol.value / per_kpa, mol.low / per_kpa, mol.high / per_kpa},
                     .mol_per_litre_hour = mol,
                     .over = over,
                     .mean_kpa = kpa};
}

}  // namespace gyled::estimation::trend
