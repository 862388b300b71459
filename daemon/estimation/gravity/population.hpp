#pragma once
/// SMC sampler with DE-MC moves (sequential Monte Carlo, Del Moral, Doucet and Jasra 2006; differential
/// evolution Markov chain, ter Braak 2006) over the shapes of a fermentation curve, with the linear
/// parameters integrated out: a Rao-Blackwellised particle population.
///
/// Each particle is one shape; given the shape, everything else (original gravity, falls, the sensor's bias
/// and drift) is linear and is solved exactly, for a mixture of a few normal priors. What curve and drift
/// cannot explain is a random-walk bias (Ornstein-Uhlenbeck), half of it the beer's and half the sensor's;
/// its size is fitted too. This is what keeps the intervals honest when the true curve has another form.
///
/// A value: a copy goes the same way. Deterministic, single-threaded. Gravities in points, times in hours
/// since pitching. A fit costs some 5 ms, one after a change point some 15.

#include <array>
#include <cstddef>
#include <vector>

#include "daemon/estimation/gravity/evidence.hpp"
#include "daemon/estimation/statistics/random.hpp"

namespace gyled::estimation::gravity {

/// What one particle, with one draw of its linear parameters, predicts.
struct Prediction {
    double weight = 0;            ///< of all: 1 in sum
    double original = 0;          ///< true original gravity
    double now = 0;               ///< true gravity
    double per_day = 0;           ///< its rate, negative while falling
    double fall_12h = 0;          ///< its fall within the next twelve hours of usual thermal time
    double final = 0;             ///< true terminal gravity
    double wait_h = 0;            ///< thermal hours from now until half a point from the end; negative: past
    double thermal_per_hour = 0;  ///< at present
    double sensor = 0;            ///< what the sensor would show
    std::size_t particle = 0;     ///< which made it
};

class CurvePopulation {
public:
    explicit CurvePopulation(const GravityPrior& prior);

    /// Fits the readings: tempered reweighting, resampling, then `moves` DE-MC moves of each particle, and
    /// predicts. `points` and `hands` are only read.
    void follow(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                const Present& present, const ChangePoints& change_points, int moves);

    /// Of the last `follow`; empty before it.
    [[nodiscard]] const std::vector<Prediction>& predictions() const { return predictions_; }
    [[nodiscard]] ThermalMix mix_of(const Prediction& prediction) const {
        return thermal_mix(particles_[prediction.particle].shape);
    }
    [[nodiscard]] ShapeVector mean_shape() const;
    [[nodiscard]] ShapeMatrix shape_covariance() const;

private:
    static constexpr std::size_t size = 128;      // half as many lose the tails, twice as many cost twice
    static constexpr std::size_t draws_each = 2;  // of the linear parameters, per particle
    static constexpr std::size_t components_max = 8;
    using ComponentLogs = std::array<double, components_max>;

    struct Particle {
        ShapeVector shape;
        double log_density = 0;
        double weight = 1.0 / size;
    };
    struct Hypothesis;

    [[nodiscard]] const Particle& likeliest() const;
    [[nodiscard]] double log_density(const ShapeVector& shape, const GravityEvidence& evidence) const;
    [[nodiscard]] ComponentLogs log_component_evidence(const NormalEquations& equations) const;
    [[nodiscard]] double log_marginal_likelihood(const NormalEquations& equations) const;
    void redraw_changed(const ChangePoints& change_points);
    void inflate_outliers(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                          const Present& present);
    void fit_random_walk(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                         const Present& present);
    void reweigh(const GravityEvidence& evidence);
    void resample();
    void move(const GravityEvidence& evidence);
    [[nodiscard]] ShapeVector proposal_for(std::size_t i, std::size_t a, std::size_t b,
                                           const std::vector<int>& used);
    [[nodiscard]] LinearVector draw_linear(const NormalEquations& equations, const ComponentLogs& components,
                                           std::size_t k) const;
    [[nodiscard]] Prediction predict(const Hypothesis& hypothesis, const NormalEquations& equations,
                                     std::size_t k) const;
    void predict_all(const GravityEvidence& evidence);
    [[nodiscard]] std::vector<int> used_indices(const ChangePoints& change_points) const;

    ShapePrior shapes_;
    std::vector<LinearPrior> components_;
    GravityPrior prior_;
    ChangePoints change_points_;
    std::vector<Particle> particles_;
    double random_walk_sigma_;
    std::vector<double>
        noise_inflation_;  // by which factor the variance of each point is larger than thought
    std::vector<Prediction> predictions_;
    statistics::Random random_{0x9E3779B97F4A7C15ULL};
};

}  // namespace gyled::estimation::gravity
