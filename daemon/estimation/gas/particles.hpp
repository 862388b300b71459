#pragma once
/// Rao-Blackwellised particle filter with Liu-West moves: what of dissolved CO2 cannot be seen.
///
///     dC/dt = production + kLa (C* - C),   C* = beer factor x water's solubility at this temperature and
///     pressure
///
/// Each particle is one guess at kLa, beer factor, head space, production and supersaturation; given these,
/// dissolved CO2 and the CO2 above it are a two-state Kalman filter. Resampled particles get offspring near
/// them that keep mean and spread (Liu and West 2001). The physics is brewing's.
///
/// A value: a copy goes the same way. Single-threaded. CO2 in volumes per litre of beer; CO2 pressure
/// partial, kPa absolute.

#include <optional>
#include <vector>

#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/estimation/gas/gas_step.hpp"
#include "daemon/estimation/statistics/random.hpp"
#include "daemon/estimation/statistics/weighted_sample.hpp"

namespace gyled::estimation::gas {

struct Particle {
    double kla = 0;              ///< per hour, without bubbles
    double factor = 0;           ///< of water's solubility
    double head_litres = 0;      ///< the head space as it truly is
    double production = 1;       ///< of the CO2 that the gravity curve tells
    double supersaturation = 0;  ///< volumes that beer at work holds above equilibrium
    double log_weight = 0;
    double c = 0, p = 0;            ///< volumes; CO2 in the head space, kPa absolute
    double cc = 0, cp = 0, pp = 0;  ///< their covariance
    [[nodiscard]] brewing::SealedVessel vessel(double beer_litres) const {
        return {beer_litres, head_litres, factor};
    }
    /// Volumes per litre of beer, dissolved and above it together.
    [[nodiscard]] double volumes_in_all(double beer_litres, double celsius) const;
};

class Particles {
public:
    explicit Particles(const GasContext& context);

    /// Beer that stands at equilibrium under so much CO2, give or take.
    void start_carbonated(double celsius, double co2_kpa);

    /// Something outside holds the pressure: the beer follows it.
    void predict_held(const GasStep& step, double co2_kpa, double kpa_variance);
    /// The valves have just been shut under so much CO2; without a reading the particles keep their own.
    void begin_shut(std::optional<double> seen_kpa, double co2_kpa, double kpa_variance);
    /// Nothing enters or leaves: beer and head space share what there is. `before_c`: temperature of the step
    /// before, degC.
    void predict_shut(const GasStep& step, std::optional<double> before_c);
    /// The CO2 pressure as measured. `weigh`: whether it also tells the particles apart.
    void update(double seen_kpa, double kpa_variance, bool weigh);
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
    [[nodiscard]] double mean_volumes() const;

private:
    [[nodiscard]] double draw_kla();
    [[nodiscard]] Particle draw(const GasContext& context);

    double beer_litres_;
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
