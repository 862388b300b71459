#pragma once
/// What is believed about one fermentation before its readings, in the terms in which curves are fitted.
///
/// Gravities are in points, (SG - 1) * 1000; times in hours since pitching.

#include <Eigen/Dense>
#include <vector>

#include "daemon/estimation/gravity_prior.hpp"
#include "daemon/estimation/gravity_shape.hpp"
#include "daemon/estimation/thermal_time.hpp"

namespace gyled::estimation {

/// The places of a curve's shape: what the gravity depends on in a bent way. Learned curves keep the first
/// eleven.
namespace place {
enum : int {
    log_duration,  ///< h, see ShapeParameters
    log_lag,       ///< h
    log_start,
    log_saturation,
    log_hunger,
    log_fatigue,
    log_slow,
    log_second_rate,  ///< 1/h thermal, of the second organism in mixed cultures
    log_second_odds,
    energy,              ///< kJ/mol
    work_asleep,         ///< logit of the share
    log_stall_activity,  ///< what is left of the yeast's activity after it stalled
    stall_when,          ///< h after the moment at which we think that it stalled
    log_wake_activity,   ///< share of its activity with which yeast comes back after a cold sleep
    log_wake_lag,        ///< thermal h that it takes to do so
    log_creep_rate,      ///< 1/h thermal: how fast late sugar is eaten
    creep_when,          ///< h after the moment at which we think that it appeared
    count
};
inline constexpr int learnt = 11;
}  // namespace place
using ShapeVector = Eigen::Matrix<double, place::count, 1>;
using ShapeMatrix = Eigen::Matrix<double, place::count, place::count>;

/// The places of a curve's height: what the gravity depends on in a straight way, all in points.
namespace height {
enum : int {
    original,  ///< true
    main,      ///< fall by the main extract
    slow,      ///< fall by the slow extract
    creep,     ///< fall by sugar set free late
    bias,      ///< what the sensor shows too much
    drift,     ///< and how that grows, per day
    count
};
}  // namespace height
using HeightVector = Eigen::Matrix<double, height::count, 1>;
using HeightMatrix = Eigen::Matrix<double, height::count, height::count>;

/// A normal belief about the heights: one of several ways in which the world may be.
struct HeightBelief {
    HeightMatrix precision = HeightMatrix::Zero();
    HeightVector information = HeightVector::Zero();
    double log_weight = 0;  ///< of this way, with the constants of its normal density
};

/// A normal belief about the shape.
struct ShapeBelief {
    ShapeVector mean;
    ShapeMatrix root;    ///< lower triangular: root * root^T is the covariance
    ShapeMatrix whiten;  ///< its inverse
    [[nodiscard]] double log_density(const ShapeVector& shape) const {
        return -0.5 * (whiten.triangularView<Eigen::Lower>() * (shape - mean)).squaredNorm();
    }
};

[[nodiscard]] ShapeBelief shape_belief(const GravityPrior& prior);
/// `late_sugar`: whether sugar may have been set free after the main fermentation.
[[nodiscard]] std::vector<HeightBelief> height_beliefs(const GravityPrior& prior, bool late_sugar);

/// Where the gravity should end, points: as the brewer expects, else as the culture usually does from there.
struct ExpectedEnd {
    double points = 10;
    double sigma = 3;
};
[[nodiscard]] ExpectedEnd expected_end(const GravityPrior& prior, double original_points);

[[nodiscard]] ShapeParameters shape_parameters(const ShapeVector& shape, base::Culture culture);
[[nodiscard]] ThermalMix thermal_mix(const ShapeVector& shape);

/// The meaning of the numbers in a LearnedCurve.
inline constexpr int learned_edition = 1;
[[nodiscard]] bool is_usable(const LearnedCurve& learned);

}  // namespace gyled::estimation
