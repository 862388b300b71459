#pragma once
/// Rao-Blackwellised particle filter with Liu-West moves: what of dissolved CO2 cannot be seen.
///
///     dC/dt = production + kLa (C* - C),   C* = beer factor x water's solubility at this temperature and
///     pressure
///
/// Each particle is one guess at kLa and how it stirs itself, beer factor and its slope, head space,
/// production, supersaturation and the air above the beer; given these, dissolved CO2 and the CO2 above it
/// are a two-state Kalman filter. Resampled particles get offspring near them that keep mean and spread (Liu
/// and West 2001). The physics is brewing's.
///
/// Air is conserved: it leaves with gas that leaves, mixed, and enters where a vessel below the atmosphere is
/// open. A transducer's noise moves none of it (`GasFlow::still_kpa`).
///
/// A value: a copy goes the same way. Single-threaded. CO2 in volumes per litre of beer; pressures partial,
/// kPa absolute.

#include <optional>
#include <vector>

#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/statistics/random.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gas {

/// A two-state Kalman filter's belief.
struct GasBelief {
    double c = 0, p = 0;            ///< volumes; CO2 in the head space, kPa absolute
    double cc = 0, cp = 0, pp = 0;  ///< their covariance
};

struct Particle : GasBelief {
    double kla = 0;              ///< per hour, without bubbles, one volume short of equilibrium
    double stirring = 0;         ///< exponent with which it goes with what the beer is short of
    double factor = 0;           ///< of water's solubility, at `factor_turns_at_c`
    double slope = 0;            ///< relative change of the factor with each degree
    double head_litres = 0;      ///< the head space as it truly is
    double production = 1;       ///< of the CO2 that the gravity curve tells
    double supersaturation = 0;  ///< volumes that lively beer holds above what the pressure keeps dissolved
    double misjudged = 0;        ///< sigmas by which the gravity curve misjudges what is made
    double unseen_per_h = 0;     ///< volumes that wort makes at least, whatever a float sees; none once full
    double log_weight = 0;
    GasBelief
        patient{};   ///< the same of a filter that takes no single reading for much: it weighs the particle
    double air = 0;  ///< above the beer, kPa absolute at the gas's temperature
    [[nodiscard]] double factor_at(double celsius) const;
    /// Per hour, through the surface of beer that is so many volumes short of equilibrium: what takes up gas
    /// grows heavy there and sinks.
    [[nodiscard]] double kla_at(double short_of) const;
    [[nodiscard]] brewing::SealedVessel vessel(double beer_litres, double celsius) const {
        return {beer_litres, head_litres, factor_at(celsius)};
    }
    /// Millilitres of oxygen above the beer in so much air, at 0 degC and 101.325 kPa. What the beer took up
    /// is not deducted: it is what came in.
    [[nodiscard]] double oxygen_ml(double celsius, double air_kpa) const;
    /// Volumes per litre of beer, dissolved and above it together.
    [[nodiscard]] double volumes_in_all(double beer_litres, double celsius) const;
};

/// The gas above the beer during one step, as it is seen from outside. kPa absolute without vapour.
struct GasFlow {
    double dry_kpa = 0;           ///< as measured, with the transducer's noise
    double still_kpa = 0;         ///< the same without what may be noise: the books of the air use it
    double still_before_kpa = 0;  ///< at the end of the step before
    double warmed = 1;            ///< kelvin of the gas over those of the step before
    double kept = 1;              ///< share of the gas that stayed when some was let off at once
    double air_kept = 1;          ///< likewise of the air: all of it where it left the books already
    double variance = 0;          ///< of dry_kpa
    bool leaves = false;          ///< what is too much goes out, mixed
    bool air_enters = false;      ///< what is missing comes in as air; else, if at all, as CO2
};

class Particles {
public:
    explicit Particles(const GasContext& context);

    /// Under so much gas but vapour, before anything was let in or out.
    void start_under_air(double dry_kpa);
    /// Beer fermented elsewhere or before the watch, in a shut vessel: somebody may have purged it, or not,
    /// and nobody told how long it has stood under that pressure.
    void start_fermented(double celsius, double dry_kpa);
    /// Beer fermented elsewhere or before the watch, behind an open vent: what it takes up is replaced by
    /// air.
    void start_behind_a_vent(double celsius, double dry_kpa);
    /// In a shut vessel, and it stands at equilibrium with the CO2 above it, give or take.
    void start_carbonated(double celsius, double dry_kpa);

    /// Something outside holds the pressure: the beer follows it, and what it gives off or takes up moves gas
    /// through the opening.
    void predict_held(const GasStep& step, const GasFlow& flow);
    /// The valves have just been shut; without a reading (`seen` false) the particles keep their own CO2.
    void begin_shut(const GasFlow& flow, bool seen);
    /// Nothing enters or leaves: beer and head space share what there is. `before_c`: temperature of the step
    /// before, degC.
    void predict_shut(const GasStep& step, const GasFlow& flow, std::optional<double> before_c);
    /// The pressure as measured, air and CO2, so long after the last one. `weigh`: whether it also tells the
    /// particles apart.
    void update(double dry_kpa, double kpa_variance, double after_h, bool weigh);
    /// The head space was filled to `kpa` (absolute) and let off to `ambient_kpa` so many times.
    void purge(double cycles, double kpa, double ambient_kpa);
    /// Is more believed to be dissolved than any beer bears for hours under the whole pressure?
    [[nodiscard]] bool exceed(double celsius, double dry_kpa) const;
    /// The gauge is right and the books are wrong: near equilibrium under the whole pressure, with a wide
    /// doubt.
    void begin_anew_at(double celsius, double dry_kpa);
    /// A hand measurement of dissolved CO2, volumes.
    void measure(double volumes, double sigma);
    /// Liu-West resampling, when few particles carry the weight.
    void resample_when_few();
    /// How gas meets the beer may be new: loosens what was learnt.
    void inflate_covariance();

    /// Takes over another population's particles; the random numbers go on.
    void adopt(const Particles& other) { particles_ = other.particles_; }

    [[nodiscard]] const std::vector<Particle>& all() const { return particles_; }
    /// Relative, the largest is 1.
    [[nodiscard]] std::vector<double> weights() const;
    /// The gas above the beer without vapour, kPa absolute, as they see it.
    [[nodiscard]] double dry_kpa() const;
    /// ln kLa, likewise.
    [[nodiscard]] UptakeBelief uptake() const;

private:
    [[nodiscard]] double draw_kla();
    [[nodiscard]] Particle draw(const GasContext& context);

    double beer_litres_;
    std::optional<LearnedUptake> learned_;
    std::vector<Particle> particles_;
    statistics::Random random_{0x9E3779B97F4A7C15ULL};
};

/// The head space that the volumes leave, litres; never none.
[[nodiscard]] double head_litres_of(const GasContext& context);

/// A normal distribution by three points and their weights (Gauss-Hermite): calls `at(sigmas, share)` for
/// each.
template <class At>
void at_three_points(At at) {
    constexpr double sqrt_3 = 1.7320508;
    at(-sqrt_3, 1.0 / 6);
    at(0.0, 2.0 / 3);
    at(sqrt_3, 1.0 / 6);
}

}  // namespace gyled::estimation::gas
