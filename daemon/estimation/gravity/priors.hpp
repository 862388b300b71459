#pragma once
/// Priors: what is believed about one fermentation before its readings, in the terms in which curves are
/// fitted. Pure functions; safe on any thread.
///
/// Gravities are in points, (SG - 1) * 1000; times in hours since pitching.

#include <Eigen/Dense>
#include <array>
#include <cstdint>
#include <vector>

#include "daemon/estimation/gravity/prior.hpp"
#include "daemon/estimation/gravity/shape.hpp"
#include "daemon/estimation/gravity/thermal_time.hpp"

namespace gyled::estimation::gravity {

/// What kinds of fermentation are known. Each has its own prior; all share the indices of the shape vector,
/// so that a culture that turns out to be of another kind keeps its pace.
enum class Family : std::uint8_t {
    logistic,
    five_parameter,  ///< logistic with an asymmetry
    gompertz,
    activated,     ///< growing yeast, inhibited by alcohol
    three_sugars,  ///< the last of them slow, and repressed by the others
    nitrogen,      ///< growth ends early: a steady fall with an abrupt end
    count
};
inline constexpr std::size_t families = static_cast<std::size_t>(Family::count);

/// Indices of the shape vector: what the gravity depends on in a non-linear way. Learned curves keep the
/// first twelve; of these the first four mean the same in each family.
namespace index {
enum : int {
    log_duration,  ///< h, see ShapeParameters
    log_onset,     ///< h
    energy,        ///< kJ/mol
    work_asleep,   ///< logit of the share
    log_start,
    log_saturation,
    log_hunger,
    log_fatigue,
    log_asymmetry,
    log_slow,
    log_second_rate,  ///< 1/h thermal, of the second organism in mixed cultures
    log_second_odds,
    log_stall_activity,  ///< what is left of the yeast's activity after it stalled
    stall_when,          ///< h after the moment at which we think that it stalled
    log_wake_activity,   ///< share of its activity with which yeast comes back after a cold sleep
    log_wake_lag,        ///< thermal h that it takes to do so
    log_creep_rate,      ///< 1/h thermal: how fast late sugar is eaten
    creep_when,          ///< h after the moment at which we think that it appeared
    count
};
inline constexpr int shared = 4;
inline constexpr int learnt = 12;
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

/// A normal prior of the shape, of one family.
struct ShapePrior {
    double log_chance = 0;  ///< of the family
    double log_scale = 0;   ///< of the normal density: its logarithm at the mean
    ShapeVector mean;
    ShapeMatrix root;    ///< lower triangular: root * root^T is the covariance
    ShapeMatrix whiten;  ///< its inverse
    [[nodiscard]] double log_density(const ShapeVector& shape) const {
        return log_scale - (whiten.triangularView<Eigen::Lower>() * (shape - mean)).squaredNorm() / 2;
    }
    /// Of the indices that are the family's own, each by itself.
    [[nodiscard]] double log_density_of_own(const ShapeVector& shape) const;
};

using ShapePriors = std::array<ShapePrior, families>;
[[nodiscard]] ShapePriors shape_priors(const GravityPrior& prior);
/// `late_sugar`: whether sugar may have been set free after the main fermentation.
[[nodiscard]] std::vector<LinearPrior> linear_priors(const GravityPrior& prior, Family family,
                                                     bool late_sugar);
/// Indices of the shape that mean something in a family.
[[nodiscard]] std::vector<int> indices_of(Family family, base::Culture culture);

/// Usual thermal hours by which all but a tenth of the culture's batches have fermented a twentieth.
[[nodiscard]] double begun_by_thermal_h(const ShapePriors& priors);

/// Where the gravity should end, points: as the brewer expects, else as the culture usually does from there.
struct ExpectedEnd {
    double points = 10;
    double sigma = 3;
};
[[nodiscard]] ExpectedEnd expected_end(const GravityPrior& prior, double original_points);

[[nodiscard]] ShapeParameters shape_parameters(const ShapeVector& shape, Family family,
                                               base::Culture culture);
[[nodiscard]] ThermalMix thermal_mix(const ShapeVector& shape);

/// What is learnt of one family: its chance, and the first indices of its shapes.
struct LearnedFamily {
    double chance = 0;
    Eigen::Matrix<double, index::learnt, 1> mean;
    Eigen::Matrix<double, index::learnt, index::learnt> covariance;
};
using LearnedFamilies = std::array<LearnedFamily, families>;

/// The meaning of the numbers in a LearnedCurve: the chances of the families and then their means, one after
/// the other; their covariances likewise.
inline constexpr int learned_edition = 2;
[[nodiscard]] bool is_usable(const LearnedCurve& learned);
/// Precondition: usable.
[[nodiscard]] LearnedFamilies unpacked(const LearnedCurve& learned);
[[nodiscard]] LearnedCurve packed(const LearnedFamilies& learned, int batches);

}  // namespace gyled::estimation::gravity
