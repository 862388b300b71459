#include "daemon/estimation/gravity/priors.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/brewing/extract.hpp"
#include "daemon/estimation/gravity/parameters.hpp"

namespace gyled::estimation::gravity {
namespace {

using base::Culture;
using brewing::points_from_sg;
using brewing::points_per_sg;

constexpr LinearPriorParameters usual;

/// A factor about which one is unsure by so much in its logarithm.
Spread factor(double middle, double log_sigma) {
    return {std::log(middle), log_sigma};
}

/// Before any batch: primary fermentations of 3 to 7 days (ale at 20 degC) and 7 to 14 days (lager at 11
/// degC), common practice; the rest from fitting logistic, Gompertz and Monod curves with these parameters.
std::array<Spread, index::count> ordinary_shape(Culture culture) {
    const bool lager = culture == Culture::lager;
    const bool mixed = culture == Culture::mixed;
    std::array<Spread, index::count> s{};
    // clang-format off
    s[index::log_duration]       = factor(lager ? 90.0 : 48.0, mixed ? 0.55 : 0.45);
    s[index::log_lag]            = factor(lager ? 8.0 : 5.0, 0.8);
    s[index::log_start]          = factor(0.02, 0.9);
    s[index::log_saturation]     = factor(0.3, 1.3);
    s[index::log_hunger]         = factor(0.45, 1.2);
    s[index::log_fatigue]        = factor(0.35, 1.2);
    s[index::log_slow]           = factor(mixed ? 0.05 : 0.35, mixed ? 0.7 : 0.4);
    s[index::log_second_rate]    = factor(1.0 / 200.0, 0.9);
    s[index::log_second_odds]    = factor(1.5, 2.2);
    s[index::energy]             = {55.0, 10.0};           // kJ/mol: a Q10 of 2.2, 2 to 3 being common practice
    s[index::work_asleep]        = {-2.0, 1.5};            // logit: an eighth, between a thirtieth and a third
    s[index::log_stall_activity] = factor(0.008, 2.0);
    s[index::stall_when]         = {0.0, 8.0};             // h
    s[index::log_wake_activity]  = factor(0.6, 0.6);
    s[index::log_wake_lag]       = factor(5.0, 1.0);       // thermal h
    s[index::log_creep_rate]     = factor(1.0 / 50.0, 0.8);
    s[index::creep_when]         = {0.0, 24.0};            // h
    // clang-format on
    return s;
}
/// Yeast that stops growing early eats steadily, to an abrupt end: the two go together.
constexpr double saturation_with_hunger = 0.65;  // correlation

/// Apparent attenuation, as a share of the original points.
Spread attenuation(Culture culture) {
    return culture == Culture::lager   ? usual.attenuation_lager
           : culture == Culture::mixed ? usual.attenuation_mixed
                                       : usual.attenuation_ale;
}
/// The slow extract, as a share of the original points.
Spread slow_share(Culture culture) {
    return culture == Culture::mixed ? usual.slow_mixed : usual.slow;
}

/// How wrong brewers and sensors are: a mixture of a few tidy and untidy ones, each with its chance. A sum of
/// normals has the heavy tails and the sharp middle that one normal lacks: when sensor and hydrometer agree
/// at the start, both are probably right.
struct MixtureComponent {
    double chance;
    double original;  // sigma, in units of the brewer's own
    double bias;      // sigma, in units of the sensor's usual one
    double drift;     // sigma, points per day
    double end;       // sigma of the expected final gravity, in units of the brewer's own
    double slow;      // share of the usual slow extract
};
constexpr std::array<MixtureComponent, 6> components{{
    {0.25, 0.4, 0.15, 0.02, 0.6, 0.45},
    {0.20, 1.0, 0.15, 0.03, 0.8, 1.30},
    {0.20, 0.4, 1.00, 0.03, 0.6, 0.45},
    {0.14, 1.0, 1.00, 0.05, 1.2, 1.30},
    {0.14, 0.8, 0.50, 0.20, 0.8, 0.65},
    {0.07, 2.0, 1.50, 0.10, 1.6, 2.00},
}};

/// A normal prior in the making, in information form.
struct Claims {
    LinearMatrix precision = LinearMatrix::Zero();
    LinearVector information = LinearVector::Zero();
    /// `row` times the linear parameters is about so much.
    void add(const LinearVector& row, Spread claim) {
        const double weight = 1.0 / (claim.sigma * claim.sigma);
        precision += weight * row * row.transpose();
        information += weight * claim.mean * row;
    }
};

LinearVector unit(int at) {
    return LinearVector::Unit(at);
}

double probable_original(const GravityPrior& prior) {
    if (prior.original_gravity) return points_from_sg(*prior.original_gravity);
    if (!prior.expected_final_gravity) return usual.original;
    const double end = points_from_sg(*prior.expected_final_gravity);
    return std::max(usual.original_min, end / (1.0 - attenuation(prior.culture).mean));
}

Claims claims_of(const MixtureComponent& component, const GravityPrior& prior, bool late_sugar) {
    const bool mixed = prior.culture == Culture::mixed;
    const double original = probable_original(prior);
    const LinearVector drop = unit(linear::main) + unit(linear::slow);
    Claims claims;
    claims.add(
        unit(linear::original),
        {original, prior.original_gravity ? points_per_sg * prior.original_gravity_sigma * component.original
                                          : usual.original_sigma});
    claims.add(unit(linear::bias), {0.0, points_per_sg * prior.sensor_bias_sigma * component.bias});
    const double steadiness = mixed ? usual.drift_mixed : 1.0;
    claims.add(unit(linear::drift), {0.0, steadiness * component.drift});
    claims.add(unit(linear::creep), late_sugar ? usual.late_sugar : usual.no_late_sugar);

    const Spread gone = attenuation(prior.culture);
    const Spread slow = slow_share(prior.culture);
    const double has_slow = mixed ? 1.0 : component.slow;
    const double doubt = prior.expected_final_gravity ? usual.attenuation_doubt : 1.0;
    claims.add(drop - gone.mean * unit(linear::original), {0.0, doubt * gone.sigma * original});
    claims.add(unit(linear::slow) - has_slow * slow.mean * unit(linear::original),
               {0.0, has_slow * slow.sigma * original});
    if (prior.expected_final_gravity)
        claims.add(unit(linear::original) - drop,
                   {points_from_sg(*prior.expected_final_gravity),
                    points_per_sg * prior.expected_final_gravity_sigma * component.end});
    return claims;
}

ShapeMatrix with_learned(ShapeMatrix covariance, const LearnedCurve& learned) {
    const auto at = [&](int i, int j) {
        return learned.covariance[static_cast<std::size_t>(i) * index::learnt + static_cast<std::size_t>(j)];
    };
    for (int i = 0; i < index::learnt; ++i)
        for (int j = 0; j < index::learnt; ++j) covariance(i, j) = (at(i, j) + at(j, i)) / 2;
    return covariance;
}

}  // namespace

bool is_usable(const LearnedCurve& learned) {
    const auto n = static_cast<std::size_t>(index::learnt);
    if (learned.edition != learned_edition || learned.mean.size() != n || learned.covariance.size() != n * n)
        return false;
    const auto finite = [](double x) { return std::isfinite(x); };
    return std::ranges::all_of(learned.mean, finite) && std::ranges::all_of(learned.covariance, finite);
}

ShapePrior shape_prior(const GravityPrior& given) {
    const auto ordinary = ordinary_shape(given.culture);
    ShapePrior prior;
    ShapeMatrix covariance = ShapeMatrix::Zero();
    for (int i = 0; i < index::count; ++i) {
        const Spread& spread = ordinary[static_cast<std::size_t>(i)];
        prior.mean[i] = spread.mean;
        covariance(i, i) = spread.sigma * spread.sigma;
    }
    covariance(index::log_saturation, index::log_hunger) = covariance(index::log_hunger,
                                                                      index::log_saturation) =
        saturation_with_hunger * ordinary[index::log_saturation].sigma * ordinary[index::log_hunger].sigma;
    if (given.learned && is_usable(*given.learned)) {
        const ShapeMatrix learnt = with_learned(covariance, *given.learned);
        if (Eigen::LLT<ShapeMatrix>{learnt}.info() == Eigen::Success) {
            covariance = learnt;
            for (int i = 0; i < index::learnt; ++i)
                prior.mean[i] = given.learned->mean[static_cast<std::size_t>(i)];
        }
    }
    prior.root = Eigen::LLT<ShapeMatrix>{covariance}.matrixL();
    prior.whiten = prior.root.triangularView<Eigen::Lower>().solve(ShapeMatrix::Identity());
    return prior;
}

std::vector<LinearPrior> linear_priors(const GravityPrior& given, bool late_sugar) {
    std::vector<LinearPrior> priors;
    for (const MixtureComponent& component : components) {
        const Claims claims = claims_of(component, given, late_sugar);
        const Eigen::LLT<LinearMatrix> root{claims.precision};
        const double log_root = root.matrixLLT().diagonal().array().log().sum();
        const double quadratic = root.matrixL().solve(claims.information).squaredNorm();
        priors.push_back(
            {claims.precision, claims.information, std::log(component.chance) + log_root - quadratic / 2});
    }
    return priors;
}

ExpectedEnd expected_end(const GravityPrior& prior, double original_points) {
    if (prior.expected_final_gravity)
        return {points_from_sg(*prior.expected_final_gravity),
                points_per_sg * prior.expected_final_gravity_sigma};
    const Spread gone = attenuation(prior.culture);
    return {original_points * (1.0 - gone.mean), original_points * gone.sigma};
}

ShapeParameters shape_parameters(const ShapeVector& shape, base::Culture culture) {
    constexpr ShapeBounds bounds;
    const auto bounded = [&](int at, ShapeBounds::Range range) {
        return std::exp(std::clamp(shape[at], std::log(range.low), std::log(range.high)));
    };
    return {.duration_h = bounded(index::log_duration, bounds.duration_h),
            .lag_h = bounded(index::log_lag, bounds.lag_h),
            .start = bounded(index::log_start, bounds.start),
            .saturation = bounded(index::log_saturation, bounds.saturation),
            .hunger = bounded(index::log_hunger, bounds.hunger),
            .fatigue = bounded(index::log_fatigue, bounds.fatigue),
            .slow = bounded(index::log_slow, bounds.slow),
            .has_second_organism = culture == base::Culture::mixed,
            .second_per_h = bounded(index::log_second_rate, bounds.second_per_h),
            .second_odds = bounded(index::log_second_odds, bounds.second_odds)};
}

ThermalMix thermal_mix(const ShapeVector& shape) {
    return {shape[index::energy], 1.0 / (1.0 + std::exp(-shape[index::work_asleep]))};
}

}  // namespace gyled::estimation::gravity
