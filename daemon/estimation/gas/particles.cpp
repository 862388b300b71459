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
constexpr GasReportParameters report;
constexpr UptakeParameters uptake_of_vessel;

double kpa_per_volume(const Particle& particle, double beer_litres, double celsius, double kpa) {
    return brewing::kpa_per_volume(particle.vessel(beer_litres, celsius),
                                   {celsius, Pressure::from_kpa_absolute(kpa)});
}

/// Volumes that the beer holds per kPa of CO2.
double volumes_per_kpa(const Particle& particle, double celsius, double kpa) {
    return particle.factor_at(celsius) *
           brewing::volumes_in_water_per_kpa(celsius, Pressure::from_kpa_absolute(kpa));
}

/// Beer that is not full yet makes no bubbles. In full beer they carry gas out so fast that it stays no more
/// than the supersaturation above what the whole pressure keeps dissolved. Twice as much too much wakes twice
/// as many places and fills each bubble twice as fast: it goes with the root of what bubbles carry.
/// `share`: of what is made, which they must carry out; a shut vessel keeps the rest dissolved.
double kla_of_bubbles(const Particle& particle, double produced_per_hour, double short_of_full,
                      double share) {
    if (short_of_full > 0 || produced_per_hour <= 0) return 0.0;
    const double above = particle.supersaturation *
                         std::sqrt(share * (produced_per_hour + filter.asleep_per_h) / filter.lively_per_h);
    return share * produced_per_hour / above;
}

double produced_per_hour(const Particle& particle, const GasStep& step) {
    const double told =
        step.produced_volumes * particle.production + step.produced_sigma * particle.misjudged;
    return std::max(particle.unseen_per_h, told / step.hours());
}

/// The guesses of a particle, in the scale in which they are spread.
constexpr std::size_t guesses = 8;
using Guesses = std::array<double, guesses>;
Guesses guesses_of(const Particle& p) {
    constexpr double never_zero = 1e-12;
    return {std::log(std::max(never_zero, p.kla)),
            p.factor,
            p.head_litres,
            p.production,
            std::log(std::max(never_zero, p.supersaturation)),
            p.slope,
            p.misjudged,
            p.stirring};
}
void set_guesses(Particle& p, const Guesses& g) {
    p.kla = std::exp(g[0]);
    p.factor = std::clamp(g[1], filter.factor_min, filter.factor_max);
    p.head_litres = std::max(filter.litres_min, g[2]);
    p.production = g[3];
    p.supersaturation = std::exp(g[4]);
    p.slope = g[5];
    p.misjudged = g[6];
    p.stirring = g[7];
}

/// `given_off`: kPa that the beer added, or took away when negative.
void pass_gas(Particle& p, const GasFlow& flow, double given_off) {
    const double co2 = std::max(0.0, (flow.still_before_kpa - p.air) * flow.warmed * flow.kept + given_off);
    p.air *= flow.warmed * flow.air_kept;
    const double total = co2 + p.air;
    if (total > flow.still_kpa && flow.leaves)
        p.air *= flow.still_kpa / total;
    else if (total < flow.still_kpa && flow.air_enters)
        p.air += flow.still_kpa - total;
    p.air = std::clamp(p.air, 0.0, flow.still_kpa);
}

struct Exchange {
    double kla, volumes_per_kpa, kpa_per_volume, made_per_h;
};

/// With h = volumes per kPa and v = kPa per volume, both linear within a step, the distance from equilibrium
/// x = C - h p follows dx/dt = rate - kLa (1 + h v) x, in closed form.
void exchange(GasBelief& m, const Exchange& way, const GasStep& step) {
    const auto [kla, h, v, rate] = way;
    const double hours = step.hours(), r = kla * (1 + h * v);
    const double off = m.c - h * m.p, settled_off = rate / r;
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

/// Kalman's update with a reading of the CO2 above the beer. What its likelihood loses, -2 ln.
double correct(GasBelief& m, double co2_kpa, double variance) {
    const double innovation = co2_kpa - m.p, s = m.pp + variance;
    const double z2 = innovation * innovation / s;
    const double trust = z2 > filter.innovation_z2_max ? std::sqrt(filter.innovation_z2_max / z2) : 1.0;
    const double gain_c = m.cp / s, gain_p = m.pp / s;
    m.c = std::max(0.0, m.c + gain_c * innovation * trust);
    m.p = std::max(filter.co2_min_kpa, m.p + gain_p * innovation * trust);
    m.cc -= gain_c * m.cp;
    m.cp *= 1 - gain_p;
    m.pp *= 1 - gain_p;
    return std::min(z2, filter.innovation_z2_max) + std::log(s);
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

double Particle::factor_at(double celsius) const {
    return factor * (1 + slope * (celsius - priors.factor_turns_at_c));
}

double Particle::kla_at(double short_of) const {
    return kla * std::pow(std::max(priors.stirring_from, short_of), stirring);
}

double Particle::oxygen_ml(double celsius, double air_kpa) const {
    constexpr double oxygen_in_air = 0.2095;  // by volume, dry
    constexpr double ml_per_litre = 1000;
    return oxygen_in_air * ml_per_litre * head_litres * air_kpa / 101.325 * base::kelvin(0) /
           base::kelvin(celsius);
}

double Particle::volumes_in_all(double beer_litres, double celsius) const {
    return c + p / kpa_per_volume(*this, beer_litres, celsius, p);
}

Particles::Particles(const GasContext& context)
    : beer_litres_{context.beer_volume_l}, learned_{context.uptake} {
    particles_.reserve(priors.particles);
    while (particles_.size() < priors.particles) particles_.push_back(draw(context));
}

/// As the vessel was learnt, or as is usual.
double Particles::draw_kla() {
    const auto drawn_from = [this](const UptakeBelief& prior) {
        return std::exp(prior.log_kla + std::sqrt(prior.variance) * random_.normal());
    };
    const bool knows = learned_ && is_usable(*learned_);
    if (knows && random_.fraction() >= uptake_of_vessel.gassed_otherwise)
        return drawn_from(uptake_prior(learned_, beer_litres_));
    if (random_.fraction() < priors.stone) {
        const double stone = brewing::kla_prior(GassingMethod::fine_stone).kla_per_hour;
        return stone * std::exp(priors.stone_log_sigma * random_.normal());
    }
    return drawn_from(uptake_prior(std::nullopt, beer_litres_));
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
    p.slope = priors.factor_slope + priors.factor_slope_sigma * random_.normal();
    p.production = std::max(priors.production_min, 1 + priors.production_sigma * random_.normal());
    p.supersaturation =
        priors.supersaturation * std::exp(priors.supersaturation_log_sigma * random_.normal());
    p.misjudged = random_.normal();
    p.stirring = priors.stirring_most * random_.fraction();
    if (context.start != GasContext::Start::wort)
        p.c = std::max(priors.fermented_min,
                       priors.fermented_volumes + priors.fermented_sigma * random_.normal());
    else
        p.unseen_per_h = priors.unseen_per_h * std::exp(priors.unseen_log_sigma * random_.normal());
    p.cc = priors.volumes_sigma * priors.volumes_sigma;
    return p;
}

void Particles::start_under_air(double dry_kpa) {
    for (Particle& p : particles_) p.air = dry_kpa;
}

void Particles::start_fermented(double celsius, double dry_kpa) {
    for (Particle& p : particles_) {
        const bool purged = random_.fraction() < priors.purged;
        const double mean_kpa = purged ? priors.air_purged_kpa : priors.air_unpurged_kpa;
        p.air = std::min(dry_kpa, -mean_kpa * std::log1p(-random_.fraction()));
        const double kept = volumes_per_kpa(p, celsius, dry_kpa) * (dry_kpa - p.air);
        p.c += random_.fraction() * std::max(0.0, kept - p.c);
    }
}

void Particles::start_behind_a_vent(double celsius, double dry_kpa) {
    for (Particle& p : particles_) {
        const double h = volumes_per_kpa(p, celsius, dry_kpa);
        const double v = kpa_per_volume(p, beer_litres_, celsius, dry_kpa);
        const double stood_h =
            priors.stood_h_least + (priors.stood_h_most - priors.stood_h_least) * random_.fraction();
        const double lacking_kpa = std::max(0.0, dry_kpa - p.c / h);
        p.air = lacking_kpa * -std::expm1(-p.kla_at(lacking_kpa * h) * h * v * stood_h);
    }
}

void Particles::start_carbonated(double celsius, double dry_kpa) {
    start_fermented(celsius, dry_kpa);
    for (Particle& p : particles_) {
        const double co2_kpa = dry_kpa - p.air;
        p.c = volumes_per_kpa(p, celsius, dry_kpa) * co2_kpa *
              std::max(priors.carbonated_min, 1 + priors.carbonated_sigma * random_.normal());
    }
}

/// What is too much leaves mixed, what is missing is air where the vessel is open to it and CO2 where a
/// regulator gives.
void Particles::predict_held(const GasStep& step, const GasFlow& flow) {
    for (Particle& p : particles_) {
        const double rate = produced_per_hour(p, step);
        const double per_kpa = volumes_per_kpa(p, step.beer_c, flow.dry_kpa);
        const double bubbles = kla_of_bubbles(p, rate, per_kpa * flow.dry_kpa - p.c, 1.0);
        const double co2_kpa = std::max(filter.co2_min_kpa, flow.dry_kpa - p.air);
        const double surface = p.kla_at(per_kpa * co2_kpa - p.c);
        const double kla = surface + bubbles;
        // a bubble bursts against the whole pressure, the surface sees the CO2 alone
        const double asked_kpa = (surface * co2_kpa + bubbles * flow.dry_kpa) / std::max(filter.kla_min, kla);
        const double target = per_kpa * asked_kpa + (kla > 0 ? rate / kla : 0);
        const double keep = std::exp(-kla * step.hours());
        const double sigma = step.fermenting ? filter.held_sigma_fermenting : filter.held_sigma;
        const double before = p.c;
        p.c = brewing::concentration_after(p.c, target, kla, step.hours());
        p.cc = keep * keep * p.cc + (1 - keep * keep) * sigma * sigma;
        const double given_off = rate * step.hours() - (p.c - before);
        pass_gas(p, flow, given_off * kpa_per_volume(p, beer_litres_, step.beer_c, flow.dry_kpa));
        p.p = std::max(filter.co2_min_kpa, flow.dry_kpa - p.air);
        p.cp = 0;
        p.pp = flow.variance;
        if (p.c >= per_kpa * flow.dry_kpa) p.unseen_per_h = 0;
    }
}

void Particles::begin_shut(const GasFlow& flow, bool seen) {
    for (Particle& p : particles_) {
        if (seen || p.p <= 0) p.p = std::max(filter.co2_min_kpa, flow.dry_kpa - p.air);
        p.cp = 0;
        p.pp = flow.variance;
        p.patient = p;
    }
}

void Particles::predict_shut(const GasStep& step, const GasFlow& flow, std::optional<double> before_c) {
    constexpr double kpa_min = 1.0;
    const double warmed = before_c ? base::kelvin(step.beer_c) / base::kelvin(*before_c) : 1.0;
    for (Particle& m : particles_) {
        m.p *= warmed * flow.kept;
        m.patient.p *= warmed * flow.kept;
        m.air *= flow.warmed * flow.air_kept;
        const double rate = produced_per_hour(m, step);
        const double h = volumes_per_kpa(m, step.beer_c, std::max(kpa_min, m.p));
        const double v = kpa_per_volume(m, beer_litres_, step.beer_c, std::max(kpa_min, m.p));
        const double kla =
            m.kla_at(h * m.p - m.c) + kla_of_bubbles(m, rate, h * (m.p + m.air) - m.c, 1 / (1 + h * v));
        if (m.c >= h * m.p) m.unseen_per_h = 0;
        exchange(m, {kla, h, v, rate}, step);
        exchange(m.patient, {kla, h, v, rate}, step);
        if (step.fermenting) m.patient = m;  // nothing is weighed then
    }
}

/// Neighbouring readings share their error (temperature layers, a drifting zero, the weather): many together
/// are worth one, else the model would be taken for better than it is.
void Particles::update(double dry_kpa, double kpa_variance, double after_h, bool weigh) {
    const double variance = std::max(kpa_variance, filter.reading_variance_min);
    const double patient = variance + filter.model_variance * std::max(1.0, filter.model_errs_h / after_h);
    for (Particle& m : particles_) {
        correct(m, dry_kpa - m.air, variance);
        if (weigh) m.log_weight -= correct(m.patient, dry_kpa - m.air, patient) / 2;
    }
}

/// Each filling dilutes the air, each letting off leaves the mixture: by the ratio of the pressures when both
/// gases mix well, by less when what was let in goes out again.
void Particles::purge(double cycles, double kpa, double ambient_kpa) {
    for (Particle& p : particles_) {
        const double mixes =
            std::clamp(priors.purge_mixes + priors.purge_mixes_sigma * random_.normal(), 0.0, 1.0);
        p.air *= std::pow(ambient_kpa / kpa, cycles * mixes);
    }
}

bool Particles::exceed(double celsius, double dry_kpa) const {
    const std::vector<double> relative = weights();
    double excess = 0;
    for (std::size_t i = 0; i < particles_.size(); ++i) {
        const double kept = volumes_per_kpa(particles_[i], celsius, dry_kpa) * dry_kpa;
        excess +=
            relative[i] * (particles_[i].c - report.contradicts_share * kept - report.contradicts_volumes);
    }
    return excess > 0;
}

void Particles::begin_anew_at(double celsius, double dry_kpa) {
    for (Particle& p : particles_) {
        const double kept = volumes_per_kpa(p, celsius, dry_kpa) * dry_kpa;
        const double sigma = report.doubted_sigma * kept;
        p.c = std::max(0.0, kept + sigma * random_.normal());
        p.cc = sigma * sigma;
        p.cp = 0;
        p.patient = p;
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
        m.patient = m;
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

double Particles::dry_kpa() const {
    const std::vector<double> relative = weights();
    double sum = 0, total = 0;
    for (std::size_t i = 0; i < particles_.size(); ++i) {
        sum += relative[i] * (particles_[i].p + particles_[i].air);
        total += relative[i];
    }
    return sum / total;
}

UptakeBelief Particles::uptake() const {
    constexpr std::size_t log_kla = 0;
    const Moments moments = moments_of(particles_, weights());
    return {moments.mean[log_kla], moments.variance[log_kla]};
}

std::vector<double> Particles::weights() const {
    std::vector<double> logs;
    logs.reserve(particles_.size());
    for (const Particle& m : particles_) logs.push_back(m.log_weight);
    return statistics::weights_from_logs(logs);
}

}  // namespace gyled::estimation::gas
