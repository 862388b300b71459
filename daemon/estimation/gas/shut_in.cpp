#include "daemon/estimation/gas/shut_in.hpp"

#include <cmath>
#include <numeric>
#include <vector>

#include "daemon/brewing/solubility.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

constexpr ShutInParameters asking;
constexpr GasFilterParameters filter;

/// One guess: what is dissolved, and how far the pressure would fall within half of the time and all of it.
struct Foreseen {
    double weight, volumes, half_kpa, kpa;
};

Foreseen foreseen(const Particle& p, double weight, const GasStep& step, double beer_litres, double dry_kpa,
                  double hours) {
    const auto dry = base::Pressure::from_kpa_absolute(dry_kpa);
    const double h = p.factor_at(step.beer_c) * brewing::volumes_in_water_per_kpa(step.beer_c, dry);
    const double v = brewing::kpa_per_volume(p.vessel(beer_litres, step.beer_c), {step.beer_c, dry});
    const double lacking = h * (dry_kpa - p.air) - p.c;
    const auto fall = [&](double t) {
        return v * lacking / (1 + h * v) * -std::expm1(-p.kla_at(lacking) * (1 + h * v) * t);
    };
    return {weight, p.c, fall(hours / 2), fall(hours)};
}

/// Mean variance of what is dissolved among the guesses that would look alike.
double variance_left(const std::vector<Foreseen>& all) {
    const double per_kpa2 = 1 / (2 * (filter.model_variance + asking.reading_variance));
    double left = 0, total = 0;
    for (const Foreseen& truth : all) {
        double w = 0, m1 = 0, m2 = 0;
        for (const Foreseen& other : all) {
            const double a = other.half_kpa - truth.half_kpa, b = other.kpa - truth.kpa;
            const double alike = other.weight * std::exp(-(a * a + b * b) * per_kpa2);
            w += alike;
            m1 += alike * other.volumes;
            m2 += alike * other.volumes * other.volumes;
        }
        left += truth.weight * (m2 / w - m1 * m1 / (w * w));
        total += truth.weight;
    }
    return left / total;
}

}  // namespace

std::optional<ShutIn> shut_in_worth_asking(const Particles& particles, const GasStep& step,
                                           double beer_litres, double dry_kpa) {
    const std::vector<double> weights = particles.weights();
    for (const double hours : asking.hours) {
        std::vector<Foreseen> all;
        double within = 0, total = 0;
        for (std::size_t i = 0; i < weights.size(); ++i) {
            const Particle& p = particles.all()[i];
            all.push_back(foreseen(p, weights[i], step, beer_litres, dry_kpa, hours));
            within += weights[i] * p.cc;
            total += weights[i];
        }
        const double half = statistics::sigmas_of_90_percent * std::sqrt(variance_left(all) + within / total);
        if (half <= asking.half_width_most) return ShutIn{hours, half};
    }
    return std::nullopt;
}

}  // namespace gyled::estimation::gas
