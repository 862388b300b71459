#pragma once
/// Priors: what is believed about one fermentation before its readings, in the terms in which curves are
/// fitted. Pure functions; safe on any thread.
///
/// Gravities are in points, (SG - 1) * 1000; times in hours since pitching.

#include <Eigen/Dense>
#include <vector>

#include "daemon/estimation/gravity/prior.hpp"
#include "daemon/estimation/gravity/shape.hpp"
#include "daemon/estimation/gravity/thermal_time.hpp"

namespace gyled::estimation::gravity {

/// Indices of the shape vector: what the gravity depends on in a non-linear way. Learned curves keep the
/// first eleven.
namespace index {
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
}  // namespace index
using ShapeVector = Eigen::Matrix<double, index::count, 1>;
using ShapeMatrix = Eigen::Matrix<double, index::count, index::count>;

/// Indices of the linear parameters, all in points.
namespace linear {
enum : int {
    original,  ///< true
    main,      ///< fall by the main extract
    slow,      ///< fall by the slow extract
    creep,     ///< fall by sugar set free late
    bias,      ///< what the sensor shows too much
    drift,     ///< and how that grows, per day
    count
};
}  // namespace linear
using LinearVector = Eigen::Matrix<double, linear::count, 1>;
using LinearMatrix = Eigen::Matrix<double, linear::count, linear::count>;

/// A normal prior of the linear parameters, in information form: one component of a mixture.
struct LinearPrior {
    LinearMatrix precision = LinearMatrix::Zero();
    LinearVector information = LinearVector::Zero();
    double log_weight = 0;  ///< of the component, with the constants of its normal density
};

/// A normal prior of the shape.
struct ShapePrior {
    ShapeVector mean;
    ShapeMatrix root;    ///< lower triangular: root * root^T is the covariance
    ShapeMatrix whiten;  ///< its inverse
    [[nodiscard]] double log_density(const ShapeVector& shape) const {
        return -(whiten.triangularView<Eigen::Lower>() * (shape - mean)).squaredNorm() / 2;
    }
};

[[nodiscard]] ShapePrior shape_prior(const GravityPrior& prior);
/// `late_sugar`: whether sugar may have been set free after the main fermentation.
[[nodiscard]] std::vector<LinearPrior> linear_priors(const GravityPrior& prior, bool late_sugar);

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

}  // namespace gyled::estimation::gravity
