#pragma once
/// A population of possible fermentation curves, kept in step with the readings.
///
/// Each member is one shape; given the shape, everything else (original gravity, falls, the sensor's bias and
/// drift) is straight and is solved exactly. The population follows the posterior by weighting, resampling
/// and moving its members (sequential Monte Carlo with differential-evolution moves), so it can be skewed or
/// split. What the curve and the straight drift cannot explain is a slow wander (Ornstein-Uhlenbeck), half of
/// it the beer's and half the sensor's; its size is fitted too. This is what keeps the intervals honest when
/// the true curve has another form. A value; deterministic. Gravities in points, times in hours since
/// pitching.

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/estimation/gravity_evidence.hpp"

namespace gyled::estimation {

/// One possible world.
struct PossibleCurve {
    double weight = 0;
    double original = 0;
    double now = 0;       ///< true gravity
    double per_day = 0;   ///< its rate, negative while falling
    double fall_12h = 0;  ///< its fall within the next twelve hours of usual thermal time
    double final = 0;     ///< true terminal gravity
    double wait_h = 0;    ///< thermal hours from now until within half a point of the end; negative: past
    double thermal_per_hour = 0;  ///< at present
    double sensor = 0;            ///< what the sensor would show
    std::size_t member = 0;
};

/// The gravity as it went, as now believed.
struct Course {
    double hour = 0;
    double points = 0;
    double sigma_of_fall_since = 0;  ///< of the fall from there until now
};

class CurvePopulation {
public:
    explicit CurvePopulation(const GravityPrior& prior);

    /// The brewer knows better about the heights; shapes stay.
    void set_prior(const GravityPrior& prior);
    /// Follows the readings. `moves`: how often each member tries to move.
    void follow(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                const Present& present, const Turns& turns, int moves);

    [[nodiscard]] const std::vector<PossibleCurve>& outlooks() const { return outlooks_; }
    [[nodiscard]] const std::vector<Course>& course() const { return course_; }
    [[nodiscard]] ThermalMix mix_of(const PossibleCurve& outlook) const {
        return thermal_mix(members_[outlook.member].shape);
    }
    /// One sigma of the slow wander about the curve, points.
    [[nodiscard]] double wander() const { return wander_; }
    [[nodiscard]] ShapeVector mean_shape() const;
    [[nodiscard]] ShapeMatrix shape_covariance() const;

private:
    static constexpr std::size_t size = 128;
    static constexpr std::size_t draws_each = 2;

    struct Member {
        ShapeVector shape;
        double log_density = 0;
        double weight = 1.0 / size;
    };
    [[nodiscard]] double log_density(const ShapeVector& shape, const GravityEvidence& evidence) const;
    struct World;

    [[nodiscard]] std::array<double, 8> log_ways(const HeightSums& sums) const;
    [[nodiscard]] double log_likelihood(const HeightSums& sums) const;
    void doubt_outliers(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                        const Present& present, const Turns& turns);
    void choose_wander(const std::vector<GravityPoint>& points, const std::vector<HandPoint>& hands,
                       const Present& present, const Turns& turns);
    void reweigh(const GravityEvidence& evidence);
    void resample();
    void move(const GravityEvidence& evidence);
    [[nodiscard]] HeightVector draw_heights(const HeightSums& sums, const std::array<double, 8>& ways,
                                            std::size_t k) const;
    [[nodiscard]] PossibleCurve outlook_of(const World& world, const HeightSums& sums, std::size_t k) const;
    void look_out(const GravityEvidence& evidence);
    [[nodiscard]] std::vector<int> places(const Turns& turns) const;

    std::uint64_t next();
    double fraction();
    double normal();

    ShapeBelief shapes_;
    std::vector<HeightBelief> heights_;
    GravityPrior prior_;
    Turns turns_;
    std::vector<Member> members_;
    double wander_ = 0.3;
    std::vector<double> surprise_;  // by which factor the noise of each point was larger than thought
    std::vector<PossibleCurve> outlooks_;
    std::vector<Course> course_;
    std::uint64_t random_ = 0x9E3779B97F4A7C15ULL;
};

}  // namespace gyled::estimation
