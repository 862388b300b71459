#pragma once
/// SMC sampler with DE-MC moves (sequential Monte Carlo, Del Moral, Doucet and Jasra 2006; differential
/// evolution Markov chain, ter Braak 2006) over the shapes of a fermentation curve, with the linear
/// parameters integrated out: a Rao-Blackwellised particle population.
///
/// Each particle is one shape of one family; the families are averaged by their evidence. A particle moves
/// within its family, and now and then a whole other one is proposed to it (reversible jump, Green 1995:
/// what the families share is kept, the rest drawn from the other's prior), so that none dies out by chance.
/// Given the shape, everything else (original gravity, falls, the sensor's bias
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
    double fall_24h = 0;          ///< and within a day of it
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

    /// Another end is expected than before, and told apart with another doubt.
    void expect_end(const GravityPrior& prior);

    /// Of the last `follow`; empty before it.
    [[nodiscard]] const std::vector<Prediction>& predictions() const { return predictions_; }
    [[nodiscard]] ThermalMix mix_of(const Prediction& prediction) const {
        return thermal_mix(particles_[prediction.particle].shape);
    }
    /// By how much the readings have wandered about the curves after so many hours, one sigma, points.
    [[nodiscard]] double wander(double after_h) const;
    /// What is known of each family after all this.
    [[nodiscard]] LearnedFamilies families_now() const;

private:
    static constexpr std::size_t size = 192;      // half as many lose the tails, twice as many cost twice
    static constexpr std::size_t draws_each = 2;  // of the linear parameters, per particle
    static constexpr std::size_t components_max = 8;
    using ComponentLogs = std::array<double, components_max>;

    struct Particle {
        Family family{};
        ShapeVector shape;
        double log_density = 0;
        double weight = 1.0 / size;
    };
    struct Hypothesis;

    [[nodiscard]] const Particle& likeliest() const;
    [[nodiscard]] const ShapePrior& prior_of(Family family) const {
        return shapes_[static_cast<std::size_t>(family)];
    }
    [[nodiscard]] const std::vector<LinearPrior>& components_of(Family family) const {
        return components_[static_cast<std::size_t>(family)];
    }
    [[nodiscard]] double log_density(const ShapeVector& shape, Family family,
                                     const GravityEvidence& evidence) const;
    [[nodiscard]] ComponentLogs log_component_evidence(const NormalEquations& equations, Family family) const;
    [[nodiscard]] double log_marginal_likelihood(const NormalEquations& equations, Family family) const;
    [[nodiscard]] Family drawn_family();
    void draw_components();
    void redraw_changed(const ChangePoints& change_points);
    void inflate_outliers(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                          const Present& present);
    void fit_random_walk(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                         const Present& present);
    void reweigh(const GravityEvidence& evidence);
    void resample();
    void move(const GravityEvidence& evidence);
    void move_within(Particle& particle, const GravityEvidence& evidence, const std::vector<int>& used);
    void move_to_another(Particle& particle, const GravityEvidence& evidence);
    [[nodiscard]] ShapeVector proposal_for(const Particle& from, const ShapeVector& stride,
                                           const std::vector<int>& used);
    [[nodiscard]] LinearVector draw_linear(const NormalEquations& equations, Family family,
                                           const ComponentLogs& components, std::size_t k) const;
    [[nodiscard]] Prediction predict(const Hypothesis& hypothesis, const NormalEquations& equations,
                                     std::size_t k) const;
    void predict_all(const GravityEvidence& evidence);
    [[nodiscard]] std::vector<int> used_indices(Family family, const ChangePoints& change_points) const;

    ShapePriors shapes_;
    std::array<std::vector<LinearPrior>, families> components_;
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
