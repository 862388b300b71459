#include "daemon/estimation/gravity_belief.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::estimation {
namespace {

struct Spread {
    double mean;
    double sigma;
};

/// Before any batch: primary fermentations of 3 to 7 days (ale at 20 degC) and 7 to 14 days (lager at 11
/// degC), common practice; the rest from fitting logistic, Gompertz and Monod curves with these parameters.
std::array<Spread, place::count> ordinary_shape(base::Culture culture) {
    using base::Culture;
    const bool lager = culture == Culture::lager;
    const bool mixed = culture == Culture::mixed;
    std::array<Spread, place::count> s{};
    s[place::log_duration] = {std::log(lager ? 90.0 : 48.0), mixed ? 0.55 : 0.45};
    s[place::log_lag] = {std::log(lager ? 8.0 : 5.0), 0.8};
    s[place::log_start] = {std::log(0.02), 0.9};
    s[place::log_saturation] = {std::log(0.3), 1.3};
    s[place::log_hunger] = {std::log(0.45), 1.2};
    s[place::log_fatigue] = {std::log(0.35), 1.2};
    s[place::log_slow] = {std::log(mixed ? 0.05 : 0.35), mixed ? 0.7 : 0.4};
    s[place::log_second_rate] = {std::log(1.0 / 200.0), 0.9};
    s[place::log_second_odds] = {std::log(1.5), 2.2};
    s[place::energy] = {55.0, 10.0};
    s[place::work_asleep] = {-2.0, 1.5};
    s[place::log_stall_activity] = {std::log(0.008), 2.0};
    s[place::stall_when] = {0.0, 8.0};
    s[place::log_wake_activity] = {std::log(0.6), 0.6};
    s[place::log_wake_lag] = {std::log(5.0), 1.0};
    s[place::log_creep_rate] = {std::log(1.0 / 50.0), 0.8};
    s[place::creep_when] = {0.0, 24.0};
    return s;
}

/// Apparent attenuation, as a share of the original points; common practice.
Spread attenuation(base::Culture culture) {
    switch (culture) {
        case base::Culture::lager:
            return {0.78, 0.035};
        case base::Culture::mixed:
            return {0.91, 0.06};
        case base::Culture::ale:
            break;
    }
    return {0.75, 0.045};
}
/// The slow extract, as a share of the original points.
Spread slow_share(base::Culture culture) {
    return culture == base::Culture::mixed ? Spread{0.16, 0.10} : Spread{0.03, 0.035};
}

/// How wrong brewers and sensors are: a few tidy and untidy ways, each with its chance. A sum of normals has
/// the heavy tails and the sharp middle that one normal lacks: when sensor and hydrometer agree at the start,
/// both are probably right.
struct Way {
    double chance;
    double original;  // sigma, in units of the brewer's own
    double bias;      // sigma, in units of the sensor's usual one
    double drift;     // sigma, points per day
    double end;       // sigma of the expected final gravity, in units of the brewer's own
    double slow;      // share of the usual slow extract
};
constexpr std::array<Way, 6> ways{{
    {0.25, 0.4, 0.15, 0.02, 0.6, 0.45},
    {0.20, 1.0, 0.15, 0.03, 0.8, 1.30},
    {0.20, 0.4, 1.00, 0.03, 0.6, 0.45},
    {0.14, 1.0, 1.00, 0.05, 1.2, 1.30},
    {0.14, 0.8, 0.50, 0.20, 0.8, 0.65},
    {0.07, 2.0, 1.50, 0.10, 1.6, 2.00},
}};

double points(double sg) {
    return (sg - 1.0) * 1000.0;
}

void add_claim(HeightMatrix& precision, HeightVector& information, const HeightVector& row, Spread claim) {
    const double weight = 1.0 / (claim.sigma * claim.sigma);
    precision += weight * row * row.transpose();
    information += weight * claim.mean * row;
}

}  // namespace

bool is_usable(const LearnedCurve& learned) {
    const auto n = static_cast<std::size_t>(place::learnt);
    if (learned.edition != learned_edition || learned.mean.size() != n || learned.covariance.size() != n * n)
        return false;
    const auto finite = [](double x) { return std::isfinite(x); };
    return std::ranges::all_of(learned.mean, finite) && std::ranges::all_of(learned.covariance, finite);
}

ShapeBelief shape_belief(const GravityPrior& prior) {
    const auto ordinary = ordinary_shape(prior.culture);
    ShapeBelief belief;
    ShapeMatrix covariance = ShapeMatrix::Zero();
    for (int i = 0; i < place::count; ++i) {
        const Spread& spread = ordinary[static_cast<std::size_t>(i)];
        belief.mean[i] = spread.mean;
        covariance(i, i) = spread.sigma * spread.sigma;
    }
    // Yeast that stops growing early eats steadily, to an abrupt end: the two go together.
    covariance(place::log_saturation, place::log_hunger) =
        covariance(place::log_hunger, place::log_saturation) =
            0.65 * ordinary[place::log_saturation].sigma * ordinary[place::log_hunger].sigma;
    if (prior.learned && is_usable(*prior.learned)) {
        ShapeMatrix learnt = covariance;
        for (int i = 0; i < place::learnt; ++i)
            for (int j = 0; j < place::learnt; ++j) {
                const auto at = static_cast<std::size_t>(i * place::learnt + j);
                learnt(i, j) =
                    0.5 * (prior.learned->covariance[at] +
                           prior.learned->covariance[static_cast<std::size_t>(j * place::learnt + i)]);
            }
        if (Eigen::LLT<ShapeMatrix>{learnt}.info() == Eigen::Success) {
            covariance = learnt;
            for (int i = 0; i < place::learnt; ++i)
                belief.mean[i] = prior.learned->mean[static_cast<std::size_t>(i)];
        }
    }
    belief.root = Eigen::LLT<ShapeMatrix>{covariance}.matrixL();
    belief.whiten = belief.root.triangularView<Eigen::Lower>().solve(ShapeMatrix::Identity());
    return belief;
}

std::vector<HeightBelief> height_beliefs(const GravityPrior& prior, bool late_sugar) {
    const double original =
        prior.original_gravity ? points(*prior.original_gravity)
        : prior.expected_final_gravity
            ? std::max(20.0, points(*prior.expected_final_gravity) / (1.0 - attenuation(prior.culture).mean))
            : 50.0;
    const bool known_original = prior.original_gravity.has_value();
    std::vector<HeightBelief> beliefs;
    for (const Way& way : ways) {
        HeightBelief belief;
        HeightMatrix& precision = belief.precision;
        HeightVector& information = belief.information;
        const auto unit = [](int at) { return HeightVector{HeightVector::Unit(at)}; };
        const HeightVector drop = unit(height::main) + unit(height::slow);

        add_claim(precision, information, unit(height::original),
                  {original, known_original ? 1000.0 * prior.original_gravity_sigma * way.original : 15.0});
        add_claim(precision, information, unit(height::bias),
                  {0.0, 1000.0 * prior.sensor_bias_sigma * way.bias});
        // Over months a drift that goes on for ever would swallow a slow organism.
        const double steadiness = prior.culture == base::Culture::mixed ? 0.3 : 1.0;
        add_claim(precision, information, unit(height::drift), {0.0, steadiness * way.drift});
        add_claim(precision, information, unit(height::creep),
                  late_sugar ? Spread{2.5, 2.5} : Spread{0.0, 1e-3});

        const Spread gone = attenuation(prior.culture);
        const Spread slow = slow_share(prior.culture);
        const double has_slow = prior.culture == base::Culture::mixed ? 1.0 : way.slow;
        const double doubt = prior.expected_final_gravity ? 2.0 : 1.0;
        add_claim(precision, information, drop - gone.mean * unit(height::original),
                  {0.0, doubt * gone.sigma * original});
        add_claim(precision, information, unit(height::slow) - has_slow * slow.mean * unit(height::original),
                  {0.0, has_slow * slow.sigma * original});
        if (prior.expected_final_gravity)
            add_claim(precision, information, unit(height::original) - drop,
                      {points(*prior.expected_final_gravity),
                       1000.0 * prior.expected_final_gravity_sigma * way.end});

        const Eigen::LLT<HeightMatrix> root{precision};
        const double log_root = root.matrixLLT().diagonal().array().log().sum();
        const double quadratic = root.matrixL().solve(information).squaredNorm();
        belief.log_weight = std::log(way.chance) + log_root - 0.5 * quadratic;
        beliefs.push_back(belief);
    }
    return beliefs;
}

ExpectedEnd expected_end(const GravityPrior& prior, double original_points) {
    if (prior.expected_final_gravity)
        return {points(*prior.expected_final_gravity), 1000.0 * prior.expected_final_gravity_sigma};
    const Spread gone = attenuation(prior.culture);
    return {original_points * (1.0 - gone.mean), original_points * gone.sigma};
}

ShapeParameters shape_parameters(const ShapeVector& shape, base::Culture culture) {
    const auto bounded = [&](int at, double low, double high) {
        return std::exp(std::clamp(shape[at], std::log(low), std::log(high)));
    };
    return {.duration_h = bounded(place::log_duration, 4.0, 2000.0),
            .lag_h = bounded(place::log_lag, 0.05, 200.0),
            .start = bounded(place::log_start, 1e-4, 1.0),
            .saturation = bounded(place::log_saturation, 0.02, 60.0),
            .hunger = bounded(place::log_hunger, 0.005, 60.0),
            .fatigue = bounded(place::log_fatigue, 0.01, 20.0),
            .slow = bounded(place::log_slow, 1e-3, 3.0),
            .has_second_organism = culture == base::Culture::mixed,
            .second_per_h = bounded(place::log_second_rate, 1e-4, 0.1),
            .second_odds = bounded(place::log_second_odds, 0.01, 1e6)};
}

ThermalMix thermal_mix(const ShapeVector& shape) {
    return {shape[place::energy], 1.0 / (1.0 + std::exp(-shape[place::work_asleep]))};
}

}  // namespace gyled::estimation
