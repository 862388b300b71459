#include "daemon/estimation/gas/leak.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr LeakParameters leak;

/// CO2 in beer and head space together, volumes per litre of beer.
base::Estimate volumes_in_all(const Particles& particles, double beer_litres, double celsius) {
    const std::vector<double> weights = particles.weights();
    std::vector<statistics::Weighted> sums;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const Particle& p = particles.all()[i];
        const double in_all = p.volumes_in_all(beer_litres, celsius);
        const double sigma = std::sqrt(std::max(0.0, p.cc));
        at_three_points([&](double sigmas, double share) {
            sums.push_back({in_all + sigmas * sigma, weights[i] * share});
        });
    }
    return statistics::median_and_90_percent(sums);
}

}  // namespace

std::optional<LeakWatch::Leak> LeakWatch::judge(const GasStep& step, const Particles& particles,
                                                const GasFlow& flow, double beer_litres, double shut_hours,
                                                bool weighed) {
    if (reference_) {
        GasFlow leaking = flow;
        leaking.leaves = true;
        reference_->beer.predict_held(step, leaking);
    }
    if (!weighed) return std::nullopt;
    const base::Estimate sum = volumes_in_all(particles, beer_litres, step.beer_c);
    if (shut_hours > leak.shut_min_h && (!reference_ || sum.low >= reference_->volumes_low)) {
        reference_ = Reference{sum.low, step.to, particles};
        return std::nullopt;
    }
    if (!reference_) return std::nullopt;
    const double missing = reference_->volumes_low - sum.value;
    reference_->weighings_below = missing > leak.missing_volumes ? reference_->weighings_below + 1 : 0;
    if (reference_->weighings_below < leak.weighings) return std::nullopt;
    Leak found{missing, base::hours_between(reference_->at, step.to), std::move(reference_->beer)};
    forget();
    return found;
}

}  // namespace gyled::estimation::gas
