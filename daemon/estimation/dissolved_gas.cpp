#include "daemon/estimation/dissolved_gas.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "daemon/brewing/solubility.hpp"

namespace gyled::estimation {
namespace {

using base::Estimate;
using base::HeadSpace;
using base::Quantity;

constexpr std::size_t members = 160;
/// So much of what was surely there must be missing, volumes, before a leak is said: less than a slow one of
/// a lid loses in a day, more than temperature layers feign.
constexpr double missing_volumes = 0.08;
/// Neighbouring residuals share their error (temperature layers, a drifting zero): only one an hour is
/// weighed, and not as if the model were better than half a kPa.
constexpr double weigh_every_hours = 1.0;
constexpr double model_variance = 0.25;
constexpr double reading_variance_min = 0.1;
/// What thermometer and transducer together are usually off, as a share of the equilibrium (common practice).
constexpr double instruments = 0.013;
constexpr double surprise_max = 9.0;  // squared sigmas that one step may count
/// Within so much of the target the beer counts as carbonated.
constexpr double carbonated_within = 0.05;

/// kPa of head pressure that a volume of CO2 from each litre of beer makes.
double kpa_per_volume(double beer_litres, double head_litres, double celsius, double p_kpa) {
    const double z = brewing::compressibility(celsius, base::Pressure::from_kpa_absolute(p_kpa));
    return z * base::gas_constant * base::kelvin(celsius) * beer_litres /
           (brewing::normal_molar_volume * std::max(0.05, head_litres));
}

/// Volumes that water holds per kPa of CO2 at this pressure.
double water_volumes_per_kpa(double celsius, double p_kpa) {
    const auto p = base::Pressure::from_kpa_absolute(p_kpa);
    return brewing::normal_molar_volume * brewing::k0_mol_per_litre_atm(celsius) *
           brewing::fugacity_coefficient(celsius, p) / 101.325;
}

/// The CO2 pressure at equilibrium when `volumes` per litre of beer are shut in at another temperature.
double settled_kpa(double volumes_in_all, double factor, double beer_litres, double head_litres,
                   double celsius) {
    double p = 150;
    for (int i = 0; i < 4; ++i)
        p = volumes_in_all / (factor * water_volumes_per_kpa(celsius, p) +
                              1.0 / kpa_per_volume(beer_litres, head_litres, celsius, p));
    return p;
}

struct Weighted {
    double value, weight;
};

double quantile(std::vector<Weighted>& sorted, double total, double share) {
    double sum = 0;
    for (const Weighted& w : sorted) {
        sum += w.weight;
        if (sum >= share * total) return w.value;
    }
    return sorted.back().value;
}

Estimate interval(std::vector<Weighted>& values) {
    std::sort(values.begin(), values.end(),
              [](const Weighted& a, const Weighted& b) { return a.value < b.value; });
    double total = 0;
    for (const Weighted& w : values) total += w.weight;
    return {quantile(values, total, 0.5), quantile(values, total, 0.05), quantile(values, total, 0.95)};
}

/// A normal distribution by three points and their weights (Gauss-Hermite).
constexpr std::array<std::pair<double, double>, 3> three_points{
    {{-1.7320508, 1.0 / 6}, {0.0, 2.0 / 3}, {1.7320508, 1.0 / 6}}};

double uniform(std::uint64_t& state) {  // splitmix64: small, copyable, the same on every machine
    state += 0x9e3779b97f4a7c15;
    std::uint64_t z = state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
    z ^= z >> 31;
    return (static_cast<double>(z >> 11) + 0.5) * 0x1.0p-53;
}

double normal(std::uint64_t& state) {
    return std::sqrt(-2 * std::log(uniform(state))) * std::cos(6.283185307179586 * uniform(state));
}

/// Head space, still: 0.009 to 0.025 per hour holds nine vessels in ten (brewing/dissolution.hpp); one in
/// twelve is gassed through a stone or rocked.
double draw_kla(std::uint64_t& random) {
    if (uniform(random) < 0.015) return std::exp(std::log(0.25) + 0.7 * normal(random));
    return std::exp(std::log(0.015) + 0.30 * normal(random));
}

}  // namespace

DissolvedGas::DissolvedGas(GasContext context) : context_{context} {
    const double head =
        std::max(0.02 * context_.total_volume_l, context_.total_volume_l - context_.beer_volume_l);
    const double head_doubt = std::clamp(0.02 * context_.beer_volume_l / head, 0.02, 0.25);
    for (std::size_t i = 0; i < members; ++i) {
        Member m;
        m.kla = draw_kla(random_);
        m.factor = std::clamp(0.95 + 0.018 * normal(random_), 0.89, 1.0);
        m.head_litres = head * std::max(0.3, 1 + head_doubt * normal(random_));
        m.production = std::max(0.4, 1 + 0.12 * normal(random_));
        m.supersaturation = std::exp(std::log(0.08) + 0.8 * normal(random_));
        m.c = context_.start == GasContext::Start::wort ? 0.0 : std::max(0.3, 0.9 + 0.12 * normal(random_));
        m.cc = 0.0025;
        bank_.push_back(m);
    }
}

double DissolvedGas::noise() {
    return normal(random_);
}

/// Can gas enter or leave, as far as plan and pressure tell together?
DissolvedGas::Valve DissolvedGas::valve(const GasStep& step) const {
    if (step.head_space == HeadSpace::sealed) return Valve::shut;
    if (!step.head_kpa) return Valve::open;
    const double kpa = *step.head_kpa;
    const double set = step.set_kpa.value_or(0);
    switch (step.head_space) {
        case HeadSpace::vented:
            return kpa > 5 ? Valve::shut : Valve::open;  // a vent that holds pressure is none
        case HeadSpace::spunded:
            return kpa < set - std::max(2.0, 0.03 * set) ? Valve::shut : Valve::open;
        case HeadSpace::supplied: {
            // Below the regulator's set point and not rising: the gas is shut off.
            const bool below = step.set_kpa && kpa < set - std::max(3.0, 0.03 * set);
            const bool rising = last_kpa_ && kpa > *last_kpa_ + 0.3;
            return below && !rising ? Valve::shut : Valve::open;
        }
        case HeadSpace::sealed:
            break;
    }
    return Valve::shut;
}

/// Something outside holds the pressure: the beer follows it.
void DissolvedGas::hold(Member& m, const GasStep& step, double hours, double p_kpa) const {
    const double rate = step.produced_volumes * m.production / hours;
    const double h = m.factor * water_volumes_per_kpa(step.beer_c, p_kpa);
    const double equilibrium = h * p_kpa;
    const double kla = m.kla + (step.fermenting ? rate / m.supersaturation : 0.0);
    const double target = equilibrium + (kla > 0 ? rate / kla : 0);
    const double keep = std::exp(-kla * hours);
    const double restless = step.fermenting ? 0.05 : 0.03;
    m.c = target + (m.c - target) * keep;
    m.cc = keep * keep * m.cc + (1 - keep * keep) * restless * restless +
           step.produced_sigma * step.produced_sigma * keep;
    m.p = p_kpa;
    m.cp = 0;
    m.pp = kpa_variance_;
}

/// Nothing enters or leaves: beer and head space share what there is.
void DissolvedGas::shut_in(Member& m, const GasStep& step, double hours,
                           std::optional<double> seen_kpa) const {
    const double rate = step.produced_volumes * m.production / hours;
    m.p *= last_c_ ? base::kelvin(step.beer_c) / base::kelvin(*last_c_) : 1.0;
    const double h = m.factor * water_volumes_per_kpa(step.beer_c, std::max(1.0, m.p));
    const double per_volume =
        kpa_per_volume(context_.beer_volume_l, m.head_litres, step.beer_c, std::max(1.0, m.p));
    const double kla = m.kla + (step.fermenting ? rate / m.supersaturation : 0.0);
    const double r = kla * (1 + h * per_volume);
    const double off = m.c - h * m.p;
    const double settled_off = rate / r;
    const double e = -std::expm1(-r * hours);
    const double gone =
        kla * (settled_off * hours + (off - settled_off) * e / r);  // volumes from beer to head
    m.c += rate * hours - gone;
    m.p += per_volume * gone;

    const double g = kla * e / r;
    const double a = 1 - g, b = g * h, c = per_volume * g, d = 1 - per_volume * g * h;
    const double cc = a * a * m.cc + 2 * a * b * m.cp + b * b * m.pp;
    const double cp = a * c * m.cc + (a * d + b * c) * m.cp + b * d * m.pp;
    const double pp = c * c * m.cc + 2 * c * d * m.cp + d * d * m.pp;
    m.cc = cc + step.produced_sigma * step.produced_sigma + 1.5e-6;
    m.cp = cp;
    m.pp = pp + 1e-3;  // temperature is known to a few hundredths: that moves the gas by some 0.03 kPa a step

    if (!seen_kpa) return;
    const double surprise = *seen_kpa - m.p;
    const double s = m.pp + std::max(kpa_variance_, reading_variance_min);
    const double squares = surprise * surprise / s;
    // While yeast is at work its own doubt hides what the pressure would tell of kLa and solubility.
    if (!step.fermenting && weigh_) {
        const double wide = s + model_variance;
        m.log_weight -= 0.5 * (std::min(surprise * surprise / wide, surprise_max) + std::log(wide));
    }
    const double gain_c = m.cp / s, gain_p = m.pp / s;
    const double trust = squares > surprise_max ? std::sqrt(surprise_max / squares) : 1.0;
    m.c += gain_c * surprise * trust;
    m.p += gain_p * surprise * trust;
    m.cc -= gain_c * m.cp;
    m.cp *= 1 - gain_p;
    m.pp *= 1 - gain_p;
    m.c = std::max(0.0, m.c);
}

/// When few members carry the weight, they have offspring in their neighbourhood.
void DissolvedGas::draw_again() {
    double best = -std::numeric_limits<double>::infinity();
    for (const Member& m : bank_) best = std::max(best, m.log_weight);
    double sum = 0, squares = 0;
    for (const Member& m : bank_) {
        const double w = std::exp(m.log_weight - best);
        sum += w;
        squares += w * w;
    }
    const auto count = static_cast<double>(bank_.size());
    if (sum * sum / squares > count / 3) return;

    // Mean and spread of what is guessed, for offspring that keep both (Liu and West's shrinkage).
    constexpr std::size_t guesses = 5;
    const auto guess = [](Member& m, std::size_t k) -> double& {
        double* const all[guesses] = {&m.kla, &m.factor, &m.head_litres, &m.production, &m.supersaturation};
        return *all[k];
    };
    const auto is_log = [](std::size_t k) { return k == 0 || k == 4; };
    const auto read = [&](Member& m, std::size_t k) {
        return is_log(k) ? std::log(std::max(1e-12, guess(m, k))) : guess(m, k);
    };
    std::array<double, guesses> mean{}, variance{};
    for (std::size_t k = 0; k < guesses; ++k) {
        for (std::size_t i = 0; i < bank_.size(); ++i)
            mean[k] += std::exp(bank_[i].log_weight - best) / sum * read(bank_[i], k);
        for (std::size_t i = 0; i < bank_.size(); ++i) {
            const double off = read(bank_[i], k) - mean[k];
            variance[k] += std::exp(bank_[i].log_weight - best) / sum * off * off;
        }
    }
    constexpr double shrink = 0.97;
    const double widen = std::sqrt(1 - shrink * shrink);
    std::vector<Member> offspring;
    double position = uniform(random_), passed = 0;
    for (std::size_t i = 0; i < bank_.size(); ++i) {
        passed += std::exp(bank_[i].log_weight - best) / sum * count;
        while (position < passed && offspring.size() < bank_.size()) {
            Member child = bank_[i];
            for (std::size_t k = 0; k < guesses; ++k) {
                const double value = shrink * read(child, k) + (1 - shrink) * mean[k] +
                                     widen * std::sqrt(variance[k]) * noise();
                guess(child, k) = is_log(k) ? std::exp(value) : value;
            }
            child.factor = std::clamp(child.factor, 0.88, 1.02);
            child.head_litres = std::max(0.05, child.head_litres);
            child.log_weight = 0;
            offspring.push_back(child);
            position += 1;
        }
    }
    while (offspring.size() < bank_.size()) {
        offspring.push_back(offspring.back());
    }
    bank_ = std::move(offspring);
}

void DissolvedGas::unsettle() {
    for (Member& m : bank_) {
        m.kla = uniform(random_) < 0.15 ? draw_kla(random_) : m.kla * std::exp(0.15 * noise());
        m.cc += 1e-4;
    }
    reference_.reset();
}

void DissolvedGas::measure(double volumes, double sigma) {
    if (!std::isfinite(volumes) || volumes < 0) return;
    for (Member& m : bank_) {
        const double s = m.cc + sigma * sigma;
        const double surprise = volumes - m.c;
        m.log_weight -= 0.5 * (surprise * surprise / s + std::log(s));
        const double gain = m.cc / s;
        m.c += gain * surprise;
        m.cc *= 1 - gain;
        m.cp *= 1 - gain;
    }
    draw_again();
}

void DissolvedGas::step(const GasStep& step) {
    const double hours = base::hours_between(step.from, step.to);
    if (!(hours > 0) || !std::isfinite(step.beer_c)) return;
    const double vapour = brewing::vapour_pressure(step.beer_c).kpa_absolute();
    // Near its set point the relief valve may let gas go: then the pressure is held from outside, as by an
    // open valve.
    const bool may_relieve =
        context_.relief_kpa && step.head_kpa && *step.head_kpa > 0.94 * *context_.relief_kpa;
    const bool shut = valve(step) == Valve::shut && !leak_stands() && !may_relieve;

    // How unsteady is the pressure itself? Second differences leave out its trend.
    if (step.head_kpa && last_kpa_ && before_last_kpa_ && shut) {
        const double bend = *step.head_kpa - 2 * *last_kpa_ + *before_last_kpa_;
        kpa_variance_ = std::clamp(0.98 * kpa_variance_ + 0.02 * std::min(4.0, bend * bend / 6), 0.04, 4.0);
    }
    double assumed = step.head_space == HeadSpace::vented ? 0.0 : step.set_kpa.value_or(0.0);
    // An open vent holds the air's pressure; what the transducer shows there is its noise.
    if (step.head_kpa && (shut || step.head_space != HeadSpace::vented)) assumed = *step.head_kpa;
    const double dry = std::max(1.0, step.ambient.kpa_absolute() + assumed - vapour);
    if (!air_kpa_) {
        air_kpa_ = context_.start == GasContext::Start::wort ? dry : 0.0;
        if (context_.start == GasContext::Start::carbonated)
            for (Member& m : bank_)
                m.c = m.factor * water_volumes_per_kpa(step.beer_c, dry) * dry *
                      std::max(0.5, 1 + 0.07 * noise());
    }
    if (head_c_)
        warm_head_space(step, dry, shut);
    else
        head_c_ = step.beer_c;
    const double held = std::max(0.1, dry - *air_kpa_);  // CO2 alone
    const double volumes_before = mean_volumes();

    if (shut) {
        const auto seen = step.head_kpa ? std::optional{held} : std::nullopt;
        if (!was_shut_) {
            for (Member& m : bank_) {
                if (seen || m.p <= 0) m.p = held;
                m.cp = 0;
                m.pp = kpa_variance_;
            }
            shut_hours_ = 0;
        }
        weighed_hours_ += hours;
        weigh_ = weighed_hours_ >= weigh_every_hours;
        if (weigh_) weighed_hours_ = 0;
        for (Member& m : bank_) shut_in(m, step, hours, was_shut_ ? seen : std::nullopt);
        shut_hours_ += hours;
        if (weigh_) draw_again();
    } else {
        for (Member& m : bank_) hold(m, step, hours, held);
        shut_hours_ = 0;
    }
    mix_head_space(step, dry, shut, volumes_before);
    was_shut_ = shut;
    before_last_kpa_ = last_kpa_;
    last_kpa_ = step.head_kpa;
    last_c_ = step.beer_c;

    if (shut && step.head_kpa && !step.fermenting)
        judge_leak(step);
    else
        reference_.reset();
    const auto quarter = std::chrono::minutes{15};
    if (step.to.time_since_epoch() % quarter < step.to - step.from) {
        const bool known = step.head_kpa || step.head_space != HeadSpace::sealed;
        if (known) report(step, dry);
        judge_carbonated(step);
    }
}

double DissolvedGas::mean_volumes() const {
    double best = -std::numeric_limits<double>::infinity();
    for (const Member& m : bank_) best = std::max(best, m.log_weight);
    double sum = 0, all = 0;
    for (const Member& m : bank_) {
        const double w = std::exp(m.log_weight - best);
        sum += w * m.c;
        all += w;
    }
    return sum / all;
}

/// The gas above the beer has another temperature: behind an open vent what it lacks comes in as air, and
/// what is too much goes out as it is mixed.
void DissolvedGas::warm_head_space(const GasStep& step, double dry_kpa, bool shut) {
    // Smoothed over some two hours: the gas does not breathe with the noise of a thermometer.
    const double before = *head_c_;
    *head_c_ += 0.05 * (step.beer_c - before);
    const double ratio = base::kelvin(*head_c_) / base::kelvin(before);
    const double air = *air_kpa_ * ratio;
    const double co2 = head_co2_kpa_ * ratio;
    const bool vented = !shut && step.head_space == HeadSpace::vented;
    if (air + co2 > dry_kpa)
        air_kpa_ = shut ? std::min(air, dry_kpa) : air * dry_kpa / (air + co2);
    else
        air_kpa_ = vented ? dry_kpa - co2 : air;
}

/// What the beer gave off drives mixed gas out; what it took up makes room for air where the vent is open.
void DissolvedGas::mix_head_space(const GasStep& step, double dry_kpa, bool shut, double volumes_before) {
    const bool vented = step.head_space == HeadSpace::vented;
    if (!shut && (vented || step.head_space == HeadSpace::spunded)) {
        const double head =
            std::max(0.02 * context_.total_volume_l, context_.total_volume_l - context_.beer_volume_l);
        const double given_off = step.produced_volumes - (mean_volumes() - volumes_before);
        const double per_volume = kpa_per_volume(context_.beer_volume_l, head, step.beer_c, dry_kpa);
        const double co2 = std::max(0.0, dry_kpa - *air_kpa_ + given_off * per_volume);
        const double total = co2 + *air_kpa_;
        if (total > dry_kpa)
            air_kpa_ = *air_kpa_ * dry_kpa / total;
        else if (vented)
            air_kpa_ = dry_kpa - co2;
    }
    air_kpa_ = std::min(*air_kpa_, dry_kpa);
    head_co2_kpa_ = dry_kpa - *air_kpa_;
}

void DissolvedGas::report(const GasStep& step, double p_kpa) {
    estimates_.clear();
    std::vector<Weighted> volumes, equilibrium, warm, cold, reached;
    double best = -std::numeric_limits<double>::infinity();
    for (const Member& m : bank_) best = std::max(best, m.log_weight);
    const double vapour_warm = brewing::vapour_pressure(context_.warmest_c).kpa_absolute();
    const double vapour_cold = brewing::vapour_pressure(context_.coldest_c).kpa_absolute();
    const double ambient = step.ambient.kpa_absolute();
    const double air = air_kpa_.value_or(0);
    const double air_warm = air * base::kelvin(context_.warmest_c) / base::kelvin(step.beer_c);
    const double air_cold = air * base::kelvin(context_.coldest_c) / base::kelvin(step.beer_c);
    const double now = base::unix_seconds(step.to);
    const double in_water = water_volumes_per_kpa(step.beer_c, p_kpa) * p_kpa;
    for (const Member& m : bank_) {
        const double weight = std::exp(m.log_weight - best);
        if (weight < 1e-6) continue;
        const double per_volume = kpa_per_volume(context_.beer_volume_l, m.head_litres, step.beer_c, p_kpa);
        for (const auto& [sigmas, share] : three_points) {
            equilibrium.push_back({m.factor * in_water * (1 + sigmas * instruments), weight * share});
            const double c = std::max(0.0, m.c + sigmas * std::sqrt(std::max(0.0, m.cc)));
            volumes.push_back({c, weight * share});
            const double in_all = c + std::max(0.0, p_kpa - air) / per_volume;
            warm.push_back(
                {settled_kpa(in_all, m.factor, context_.beer_volume_l, m.head_litres, context_.warmest_c) +
                     vapour_warm + air_warm - ambient,
                 weight * share});
            cold.push_back(
                {settled_kpa(in_all, m.factor, context_.beer_volume_l, m.head_litres, context_.coldest_c) +
                     vapour_cold + air_cold - ambient,
                 weight * share});
            if (context_.target_co2_volumes) {
                const double target = *context_.target_co2_volumes - carbonated_within;
                const double end = m.factor * in_water;
                double hours = std::numeric_limits<double>::infinity();
                if (c >= target)
                    hours = 0;
                else if (end > target)
                    hours = std::log((end - c) / (end - target)) / m.kla;
                reached.push_back({now + 3600 * hours, weight * share});
            }
        }
    }
    estimates_[Quantity::co2_volumes] = interval(volumes);
    estimates_[Quantity::co2_equilibrium_volumes] = interval(equilibrium);
    estimates_[Quantity::warm_pressure] = interval(warm);
    estimates_[Quantity::crash_pressure] = interval(cold);
    if (!reached.empty() && step.head_space != HeadSpace::vented) {
        const Estimate when = interval(reached);
        if (std::isfinite(when.value) && when.value > now) estimates_[Quantity::carbonated_time] = when;
    }
}

bool DissolvedGas::leak_stands() const {
    return std::any_of(facts_.begin(), facts_.end(),
                       [](const Fact& f) { return f.kind == FactKind::leak_suspected && !f.revoked; });
}

/// In a shut vessel CO2 moves between beer and head space, but its sum cannot fall. When the sum that fits
/// the pressure now lies below what was surely there before, some has left: beer takes up gas until
/// equilibrium and no further.
void DissolvedGas::judge_leak(const GasStep& step) {
    if (!weigh_) {
        if (reference_) reference_->since.push_back(step);
        return;
    }
    std::vector<Weighted> in_all;
    double best = -std::numeric_limits<double>::infinity();
    for (const Member& m : bank_) best = std::max(best, m.log_weight);
    for (const Member& m : bank_) {
        const double in_head = m.p / kpa_per_volume(context_.beer_volume_l, m.head_litres, step.beer_c, m.p);
        for (const auto& [sigmas, share] : three_points)
            in_all.push_back({m.c + sigmas * std::sqrt(std::max(0.0, m.cc)) + in_head,
                              std::exp(m.log_weight - best) * share});
    }
    const Estimate sum = interval(in_all);
    if (reference_) reference_->since.push_back(step);
    if (shut_hours_ > 3 && (!reference_ || sum.low >= reference_->volumes_low)) {
        reference_ = Reference{sum.low, step.to, bank_, {}, 0};
        return;
    }
    if (!reference_) return;
    const double missing = reference_->volumes_low - sum.value;
    reference_->hours_below = missing > missing_volumes ? reference_->hours_below + 1 : 0;
    if (reference_->hours_below < 2) return;
    facts_.push_back(
        {FactKind::leak_suspected,
         step.to,
         fmt::format("The vessel is shut, but its CO2 is getting less: {:.2f} volumes went within {:.0f} h, "
                     "beyond what beer and head space exchange.",
                     missing, base::hours_between(reference_->at, step.to)),
         false,
         {},
         {}});
    take_back_to_reference();
}

/// What fell was the gas, not the beer: from where all was well, the beer followed the pressure slowly.
void DissolvedGas::take_back_to_reference() {
    bank_ = std::move(reference_->bank);
    for (const GasStep& step : reference_->since) {
        const double vapour = brewing::vapour_pressure(step.beer_c).kpa_absolute();
        const double kpa =
            step.ambient.kpa_absolute() + step.head_kpa.value_or(0) - vapour - air_kpa_.value_or(0);
        for (Member& m : bank_) hold(m, step, base::hours_between(step.from, step.to), std::max(0.1, kpa));
    }
    reference_.reset();
}

void DissolvedGas::judge_carbonated(const GasStep& step) {
    if (!context_.target_co2_volumes || !estimates_.contains(Quantity::co2_volumes)) return;
    const Estimate& c = estimates_.at(Quantity::co2_volumes);
    const double target = *context_.target_co2_volumes;
    const bool there = c.value >= target - carbonated_within && c.low >= target - 0.25;
    carbonated_hours_ = there ? carbonated_hours_ + 0.25 : 0;
    const auto standing = std::find_if(facts_.begin(), facts_.end(), [](const Fact& f) {
        return f.kind == FactKind::carbonated && !f.revoked;
    });
    if (standing == facts_.end() && carbonated_hours_ >= 1) {
        facts_.push_back(
            {FactKind::carbonated,
             step.to,
             fmt::format("The beer holds {:.2f} volumes of CO2 ({:.2f} to {:.2f}); the target is {:.2f}.",
                         c.value, c.low, c.high, target),
             false,
             {},
             {}});
    } else if (standing != facts_.end() && c.high < target - carbonated_within) {
        standing->revoked = true;
        standing->revoked_at = step.to;
        standing->revoked_because =
            fmt::format("Only {:.2f} to {:.2f} volumes are left in the beer.", c.low, c.high);
    }
}

}  // namespace gyled::estimation
