#include "daemon/estimation/gas/forecast.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "daemon/brewing/dissolution.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/brewing/water.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Quantity;
using statistics::Weighted;

constexpr GasReportParameters report;
constexpr double seconds_per_hour = 3600.0;
constexpr double percent = 100.0;

/// Hours until the beer holds `target`, under the pressure as it is; infinite when it never will.
double hours_to(double target, double volumes, double equilibrium, double kla) {
    if (volumes >= target) return 0;
    if (equilibrium <= target) return std::numeric_limits<double>::infinity();
    return brewing::hours_to_fraction((target - volumes) / (equilibrium - volumes), kla);
}

/// The vessel shut now, at another temperature: what air and vapour add to the CO2, gauge.
struct OtherTemperature {
    OtherTemperature(double celsius, const GasStep& step)
        : c{celsius},
          warmed{base::kelvin(celsius) / base::kelvin(step.beer_c)},
          vapour_kpa_gauge{brewing::vapour_pressure(celsius).kpa_absolute() - step.ambient.kpa_absolute()} {}
    [[nodiscard]] double co2_kpa(const Particle& p, double beer_litres, double volumes_in_all) const {
        return brewing::settled_co2_kpa(p.vessel(beer_litres, c), volumes_in_all, c);
    }
    [[nodiscard]] double gauge_kpa(const Particle& p, double co2_kpa) const {
        return co2_kpa + p.air * warmed + vapour_kpa_gauge;
    }
    double c, warmed, vapour_kpa_gauge;
};

/// The same with a further doubt of +-`half`, of what cannot be less than none.
base::Estimate doubted(const base::Estimate& told, double half) {
    return {told.value, std::max(0.0, told.value - std::hypot(told.value - told.low, half)),
            told.value + std::hypot(told.high - told.value, half)};
}

/// One sample of each quantity, gathered over particles and the points of their doubt.
struct Samples {
    std::map<Quantity, std::vector<Weighted>> of;
    void add(Quantity quantity, double value, double weight) { of[quantity].push_back({value, weight}); }
    [[nodiscard]] base::Estimates estimates() {
        base::Estimates told;
        for (auto& [quantity, sample] : of) told[quantity] = statistics::median_and_90_percent(sample);
        return told;
    }
};

}  // namespace

base::Estimates forecast(const Particles& particles, const GasContext& context, const GasStep& step,
                         double dry_kpa) {
    const OtherTemperature coldest{context.coldest_c, step};
    const auto dry = base::Pressure::from_kpa_absolute(dry_kpa);
    const double in_water_per_kpa = brewing::volumes_in_water_per_kpa(step.beer_c, dry);
    const double now = base::unix_seconds(step.to);
    const std::vector<double> weights = particles.weights();
    Samples samples;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] < report.negligible) continue;
        const Particle& p = particles.all()[i];
        const double co2_kpa = std::max(0.0, dry_kpa - p.air);
        const double in_head = co2_kpa / brewing::kpa_per_volume(p.vessel(context.beer_volume_l, step.beer_c),
                                                                 {step.beer_c, dry});
        const double equilibrium = p.factor_at(step.beer_c) * in_water_per_kpa * co2_kpa;
        const double sigma = std::hypot(std::sqrt(std::max(0.0, p.cc)), report.instruments * p.c);
        samples.add(Quantity::head_space_air, percent * p.air / dry_kpa, weights[i]);
        samples.add(Quantity::head_space_oxygen, p.oxygen_ml(step.beer_c, p.air), weights[i]);
        const double in_all = std::max(0.0, p.c) + in_head;
        const double crash_kpa = coldest.co2_kpa(p, context.beer_volume_l, in_all);
        const double more_kpa = coldest.co2_kpa(p, context.beer_volume_l, in_all + sigma) - crash_kpa;
        const double crash_sigma = std::hypot(more_kpa, report.outlook * crash_kpa);
        at_three_points([&](double sigmas, double share) {
            const double weight = weights[i] * share;
            const double c = std::max(0.0, p.c + sigmas * sigma);
            const double here = equilibrium * (1 + sigmas * report.instruments);
            samples.add(Quantity::co2_volumes, c, weight);
            samples.add(Quantity::co2_equilibrium_volumes, here, weight);
            samples.add(Quantity::crash_pressure, coldest.gauge_kpa(p, crash_kpa + sigmas * crash_sigma),
                        weight);
            if (!context.target_co2_volumes) return;
            const double target = *context.target_co2_volumes - report.carbonated_within;
            samples.add(Quantity::carbonated_time,
                        now + seconds_per_hour * hours_to(target, c, here, p.kla_at(here - c)), weight);
        });
    }
    base::Estimates estimates = samples.estimates();
    base::Estimate& air = estimates.at(Quantity::head_space_air);
    air = doubted(air, report.air_percent);
    base::Estimate& oxygen = estimates.at(Quantity::head_space_oxygen);
    oxygen = doubted(oxygen,
                     particles.all().front().oxygen_ml(step.beer_c, report.air_percent / percent * dry_kpa));
    const auto when = estimates.find(Quantity::carbonated_time);
    if (when == estimates.end()) return estimates;
    if (step.head_space == base::HeadSpace::vented || !std::isfinite(when->second.value) ||
        when->second.value <= now)
        estimates.erase(when);
    return estimates;
}

base::Estimates gas_held(const Particles& particles, double beer_c, base::Pressure ambient) {
    const double besides_kpa = brewing::vapour_pressure(beer_c).kpa_absolute() - ambient.kpa_absolute();
    const std::vector<double> weights = particles.weights();
    Samples samples;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] < report.negligible) continue;
        const Particle& p = particles.all()[i];
        const double kpa_sigma = std::hypot(std::sqrt(std::max(0.0, p.pp)), report.outlook * p.p);
        const double volumes_sigma = std::hypot(std::sqrt(std::max(0.0, p.cc)), report.instruments * p.c);
        at_three_points([&](double sigmas, double share) {
            samples.add(Quantity::head_pressure, p.p + p.air + besides_kpa + sigmas * kpa_sigma,
                        weights[i] * share);
            samples.add(Quantity::co2_volumes, std::max(0.0, p.c + sigmas * volumes_sigma),
                        weights[i] * share);
        });
    }
    return samples.estimates();
}

}  // namespace gyled::estimation::gas
