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

/// Hours until the beer holds `target`, under the pressure as it is; infinite when it never will.
double hours_to(double target, double volumes, double equilibrium, double kla) {
    if (volumes >= target) return 0;
    if (equilibrium <= target) return std::numeric_limits<double>::infinity();
    return brewing::hours_to_fraction((target - volumes) / (equilibrium - volumes), kla);
}

/// The vessel shut now, at another temperature: what air and vapour add to the CO2, gauge.
struct OtherTemperature {
    OtherTemperature(double celsius, const GasStep& step, double air_kpa)
        : c{celsius},
          besides_co2_kpa{brewing::vapour_pressure(celsius).kpa_absolute() +
                          air_kpa * base::kelvin(celsius) / base::kelvin(step.beer_c) -
                          step.ambient.kpa_absolute()} {}
    [[nodiscard]] double gauge_kpa(const brewing::SealedVessel& vessel, double volumes_in_all) const {
        return brewing::settled_co2_kpa(vessel, volumes_in_all, c) + besides_co2_kpa;
    }
    double c;
    double besides_co2_kpa;
};

}  // namespace

base::Estimates forecast(const Particles& particles, const GasContext& context, const GasStep& step,
                         double dry_kpa, double air_kpa) {
    const OtherTemperature warmest{context.warmest_c, step, air_kpa};
    const OtherTemperature coldest{context.coldest_c, step, air_kpa};
    const auto dry = base::Pressure::from_kpa_absolute(dry_kpa);
    const double in_water = brewing::volumes_in_water_per_kpa(step.beer_c, dry) * dry_kpa;
    const double now = base::unix_seconds(step.to);
    const std::vector<double> weights = particles.weights();
    std::vector<Weighted> volumes, equilibria, warm, cold, reached;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] < report.negligible) continue;
        const Particle& p = particles.all()[i];
        const brewing::SealedVessel vessel = p.vessel(context.beer_volume_l);
        const double in_head =
            std::max(0.0, dry_kpa - air_kpa) / brewing::kpa_per_volume(vessel, {step.beer_c, dry});
        const double equilibrium = p.factor * in_water;
        const double sigma = std::sqrt(std::max(0.0, p.cc));
        at_three_points([&](double sigmas, double share) {
            const double weight = weights[i] * share;
            const double c = std::max(0.0, p.c + sigmas * sigma);
            volumes.push_back({c, weight});
            equilibria.push_back({equilibrium * (1 + sigmas * report.instruments), weight});
            warm.push_back({warmest.gauge_kpa(vessel, c + in_head), weight});
            cold.push_back({coldest.gauge_kpa(vessel, c + in_head), weight});
            if (!context.target_co2_volumes) return;
            const double target = *context.target_co2_volumes - report.carbonated_within;
            reached.push_back({now + seconds_per_hour * hours_to(target, c, equilibrium, p.kla), weight});
        });
    }
    base::Estimates estimates;
    estimates[Quantity::co2_volumes] = statistics::median_and_90_percent(volumes);
    estimates[Quantity::co2_equilibrium_volumes] = statistics::median_and_90_percent(equilibria);
    estimates[Quantity::warm_pressure] = statistics::median_and_90_percent(warm);
    estimates[Quantity::crash_pressure] = statistics::median_and_90_percent(cold);
    if (reached.empty() || step.head_space == base::HeadSpace::vented) return estimates;
    const base::Estimate when = statistics::median_and_90_percent(reached);
    if (std::isfinite(when.value) && when.value > now) estimates[Quantity::carbonated_time] = when;
    return estimates;
}

}  // namespace gyled::estimation::gas
