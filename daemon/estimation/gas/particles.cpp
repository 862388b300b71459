#include "daemon/estimation/gas/particles.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/brewing/dissolution.hpp"
#include "daemon/brewing/solubility.hpp"
#include "daemon/estimation/gas/parameters.hpp"

namespace gyled::estimation::gas {
namespace {

using base::Pressure;
using brewing::GassingMethod;

constexpr GasPriorParameters priors;
constexpr GasFilterParameters filter;

double kpa_per_volume(const Particle& particle, double beer_litres, double celsius, double kpa) {
    return brewing::kpa_per_volume(particle.vessel(beer_litres), {celsius, Pressure::from_kpa_absolute(kpa)});
}

/// Volumes that the beer holds per kPa of CO2.
double volumes_per_kpa(const Particle& particle, double celsius, double kpa) {
    return particle.factor * brewing::volumes_in_water_per_kpa(celsius, Pressure::from_kpa_absolute(kpa));
}

/// Rising bubbles carry gas out, so fast that the beer stays no more than the supersaturation above
/// equilibrium.
double kla_of(const Particle& particle, const GasStep& step, double produced_per_hour) {
    return particle.kla + (step.fermenting ? produced_per_hour / particle.supersaturation : 0.0);
}

double produced_per_hour(const Particle& particle, const GasStep& step) {
    return step.produced_volumes * particle.production / step.hours();
}

/// The five guesses of a particle, in the scale in which they are spread.
constexpr std::size_t guesses = 5;
using Guesses = std::array<double, guesses>;
Guesses guesses_of(const Particle& p) {
    constexpr double never_zero = 1e-12;
    return {std::log(std::max(never_zero, p.kla)), p.factor, p.head_litres, p.production,
            std::log(std::max(never_zero, p.supersaturation))};
}
void set_guesses(Particle& p, const Guesses& g) {
    p.kla = std::exp(g[0]);
    p.factor = std::clamp(g[1], filter.factor_min, filter.factor_max);
    p.head_litres = std::max(filter.litres_min, g[2]);
    p.production = g[3];
    p.supersaturation = std::exp(g[4]);
}

struct Moments {
    Guesses mean{}, variance{};
};
Moments moments_of(const std::vector<Particle>& particles, const std::vector<double>& weights) {
    double total = 0;
    for (const double w : weights) total += w;
    Moments moments;
    for (std::size_t i = 0; i < particles.size(); ++i)
        for (std::size_t k = 0; k < guesses; ++k)
            moments.mean[k] += weights[i] / total * guesses_of(particles[i])[k];
    for (std::size_t i = 0; i < particles.size(); ++i)
        for (std::size_t k = 0; k < guesses; ++k) {
            const double off = guesses_of(particles[i])[k] - moments.mean[k];
            moments.variance[k] += weights[i] / total * off * off;
        }
    return moments;
}

}  // namespace

double head_litres_of(const GasContext& context) {
    return std::max({filter.litres_min, priors.head_share_min * context.total_volume_l,
                     context.total_volume_l - context.beer_volume_l});
}

double Particle::volumes_in_all(double beer_litres, double celsius) const {
    return c + p / kpa_per_volume(*this, beer_litres, celsius, p);
}

Particles::Particles(const GasContext& context) : beer_litres_{context.beer_volume_l} {
    particles_.reserve(priors.particles);
    while (particles_.size() < priors.particles) particles_.push_back(draw(context));
}

/// Lognormal, so that nine vessels in ten lie within what brewing/dissolution.hpp says of a still head space.
double Particles::draw_kla() {
    if (random_.fraction() < priors.stone) {
        const double stone = brewing::kla_prior(GassingMethod::fine_stone).kla_per_hour;
        return stone * std::exp(priors.stone_log_sigma * random_.normal());
    }
    const brewing::KlaPrior& still = brewing::kla_prior(GassingMethod::head_space_still);
    const double log_sigma = std::log(still.high / still.low) / (2 * statistics::sigmas_of_90_percent);
    return std::sqrt(still.low * still.high) * std::exp(log_sigma * random_.normal());
}

Particle Particles::draw(const GasContext& context) {
    const double head = head_litres_of(context);
    const double head_sigma = std::clamp(priors.beer_volume_sigma * context.beer_volume_l / head,
                                         priors.head_sigma_min, priors.head_sigma_max);
    Particle p;
    p.kla = draw_kla();
    p.factor = std::clamp(priors.factor + priors.factor_sigma * random_.normal(), priors.factor_min,
                          priors.factor_max);
    p.head_litres = std::max(filter.litres_min,
                             head * std::max(priors.head_factor_min, 1 + head_sigma * random_.normal()));
    p.production = std::max(priors.production_min, 1 + priors.production_sigma * random_.normal());
    p.supersaturation =
        priors.supersaturation * std::exp(priors.supersaturation_log_sigma * random_.normal());
    if (context.start != GasContext::Start::wort)
        p.c = std::max(priors.fermented_min,
                       priors.fermented_volumes + priors.fermented_sigma * random_.normal());
    p.cc = priors.volumes_sigma * priors.volumes_sigma;
    return p;
}

void Particles::start_carbonated(double celsius, double co2_kpa) {
    for (Particle& p : particles_)
        p.c = volumes_per_kpa(p, celsius, co2_kpa) * co2_kpa *
              std::max(priors.carbonated_min, 1 + priors.carbonated_sigma * random_.normal());
}

void Particles::predict_held(const GasStep& step, double co2_kpa, double kpa_variance) {
    for (Particle& p : particles_) {
        const double rate = produced_per_hour(p, step);
        const double kla = kla_of(p, step, rate);
        const double equilibrium = volumes_per_kpa(p, step.beer_c, co2_kpa) * co2_kpa;
        const double target = equilibrium + (kla > 0 ? rate / kla : 0);
        const double keep = std::exp(-kla * step.hours());
        const double sigma = step.fermenting ? filter.held_sigma_fermenting : filter.held_sigma;
        p.c = brewing::concentration_after(p.c, target, kla, step.hours());
        p.cc = keep * keep * p.cc + (1 - keep * keep) * sigma * sigma +
               step.produced_sigma * step.produced_sigma * keep;
        p.p = co2_kpa;
        p.cp = 0;
        p.pp = kpa_variance;
    }
}

void Particles::begin_shut(std::optional<double> seen_kpa, double co2_kpa, double kpa_variance) {
    for (Particle& p : particles_) {
        if (seen_kpa || p.p <= 0) p.p = co2_kpa;
        p.cp = 0;
        p.pp = kpa_variance;
    }
}

/// With h = volumes per kPa and v = kPa per volume, both linear within a step, the distance from equilibrium
/// x = C - h p follows dx/dt = rate - kLa (1 + h v) x, in closed form.
void Particles::predict_shut(const GasStep& step, std::optional<double> before_c) {
    constexpr double kpa_min = 1.0;
    const double warmed = before_c ? base::kelvin(step.beer_c) / base::kelvin(*before_c) : 1.0;
    const double hours = step.hours();
    for (Particle& m : particles_) {
        m.p *= warmed;
        const double rate = produced_per_hour(m, step);
        const double kla = kla_of(m, step, rate);
        const double h = volumes_per_kpa(m, step.beer_c, std::max(kpa_min, m.p));
        const double v = kpa_per_volume(m, beer_litres_, step.beer_c, std::max(kpa_min, m.p));
        const double r = kla * (1 + h * v);
        const double off = m.c - h * m.p;
        const double settled_off = rate / r;
        const double e = -std::expm1(-r * hours);
        const double to_head = kla * (settled_off * hours + (off - settled_off) * e / r);  // volumes
        m.c += rate * hours - to_head;
        m.p += v * to_head;

        const double g = kla * e / r;
        const double a = 1 - g, b = g * h, c = v * g, d = 1 - v * g * h;
        const double cc = a * a * m.cc + 2 * a * b * m.cp + b * b * m.pp;
        const double cp = a * c * m.cc + (a * d + b * c) * m.cp + b * d * m.pp;
        const double pp = c * c * m.cc + 2 * c * d * m.cp + d * d * m.pp;
        m.cc = cc + step.produced_sigma * step.produced_sigma + filter.shut_volumes_variance;
        m.cp = cp;
        m.pp = pp + filter.shut_kpa_variance;
    }
}

void Particles::update(double seen_kpa, double kpa_variance, bool weigh) {
    for (Particle& m : particles_) {
        const double innovation = seen_kpa - m.p;
        const double s = m.pp + std::max(kpa_variance, filter.reading_variance_min);
        const double z2 = innovation * innovation / s;
        if (weigh) {
            const double wide = s + filter.model_variance;
            const double counted = std::min(innovation * innovation / wide, filter.innovation_z2_max);
            m.log_weight -= (counted + std::log(wide)) / 2;
        }
        const double gain_c = m.cp / s, gain_p = m.pp / s;
        const double trust = z2 > filter.innovation_z2_max ? std::sqrt(filter.innovation_z2_max / z2) : 1.0;
        m.c = std::max(0.0, m.c + gain_c * innovation * trust);
        m.p += gain_p * innovation * trust;
        m.cc -= gain_c * m.cp;
        m.cp *= 1 - gain_p;
        m.pp *= 1 - gain_p;
    }
}

void Particles::measure(double volumes, double sigma) {
    for (Particle& m : particles_) {
        const double s = m.cc + sigma * sigma;
        const double innovation = volumes - m.c;
        m.log_weight -= (innovation * innovation / s + std::log(s)) / 2;
        const double gain_c = m.cc / s, gain_p = m.cp / s;
        m.c = std::max(0.0, m.c + gain_c * innovation);
        m.p = std::max(0.0, m.p + gain_p * innovation);
        m.pp -= gain_p * m.cp;
        m.cp *= 1 - gain_c;
        m.cc *= 1 - gain_c;
    }
    resample_when_few();
}

void Particles::resample_when_few() {
    const std::vector<double> relative = weights();
    const auto count = static_cast<double>(particles_.size());
    if (statistics::effective_size(relative) > filter.resample_below * count) return;
    const Moments moments = moments_of(particles_, relative);
    const double widen = std::sqrt(1 - filter.shrink * filter.shrink);
    std::vector<Particle> offspring;
    offspring.reserve(particles_.size());
    for (const std::size_t i : statistics::systematic_resample(relative, random_.fraction())) {
        Particle child = particles_[i];
        Guesses g = guesses_of(child);
        for (std::size_t k = 0; k < guesses; ++k)
            g[k] = filter.shrink * g[k] + (1 - filter.shrink) * moments.mean[k] +
                   widen * std::sqrt(moments.variance[k]) * random_.normal();
        set_guesses(child, g);
        child.log_weight = 0;
        offspring.push_back(child);
    }
    particles_ = std::move(offspring);
}

void Particles::inflate_covariance() {
    for (Particle& m : particles_) {
        m.kla = random_.fraction() < filter.redrawn
                    ? draw_kla()
                    : m.kla * std::exp(filter.kla_log_sigma * random_.normal());
        m.cc += filter.loosened_variance;
    }
}

std::vector<double> Particles::weights() const {
    std::vector<double> logs;
    logs.reserve(particles_.size());
    for (const Particle& m : particles_) logs.push_back(m.log_weight);
    return statistics::weights_from_logs(logs);
}

double Particles::mean_volumes() const {
    const std::vector<double> relative = weights();
    double sum = 0, total = 0;
    for (std::size_t i = 0; i < particles_.size(); ++i) {
        sum += relative[i] * particles_[i].c;
        total += relative[i];
    }
    return sum / total;
}

}  // namespace gyled::estimation::gas
