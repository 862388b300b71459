#include "daemon/estimation/gravity/priors.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>

#include "daemon/brewing/extract.hpp"
#include "daemon/estimation/gravity/parameters.hpp"

namespace gyled::estimation::gravity {
namespace {

using base::Culture;
using brewing::points_from_sg;
using brewing::points_per_sg;

constexpr LinearPriorParameters usual;
constexpr double never_chosen = -1e300;  // log chance

/// A factor about which one is unsure by so much in its logarithm.
Spread factor(double middle, double log_sigma) {
    return {std::log(middle), log_sigma};
}

/// Before any batch: primary fermentations of 3 to 7 days (ale at 20 degC) and 7 to 14 days (lager at 11
/// degC), common practice; yeast that starts at once takes 3 h for the first twentieth, and one that has to
/// grow up to a day and a half.
std::array<Spread, index::count> ordinary_shape(Culture culture) {
    const bool lager = culture == Culture::lager;
    const bool mixed = culture == Culture::mixed;
    std::array<Spread, index::count> s{};
    // clang-format off
    s[index::log_duration]       = factor(lager ? 90.0 : 48.0, mixed ? 0.55 : 0.45);
    s[index::log_onset]          = factor(lager ? 24.0 : 12.0, 0.8);
    s[index::energy]             = {55.0, 10.0};           // kJ/mol: a Q10 of 2.2, 2 to 3 being common practice
    s[index::work_asleep]        = {-2.0, 1.5};            // logit: an eighth, between a thirtieth and a third
    s[index::log_start]          = factor(0.03, 1.0);
    s[index::log_saturation]     = factor(0.3, 1.3);
    s[index::log_hunger]         = factor(0.45, 1.2);
    s[index::log_fatigue]        = factor(0.35, 1.2);
    s[index::log_asymmetry]      = factor(1.0, 0.6);
    s[index::log_slow]           = factor(mixed ? 0.05 : 0.35, mixed ? 0.7 : 0.4);
    s[index::log_second_rate]    = factor(1.0 / 200.0, 0.9);
    s[index::log_second_odds]    = factor(1.5, 2.2);
    s[index::log_stall_activity] = factor(0.008, 2.0);
    s[index::stall_when]         = {0.0, 8.0};             // h
    s[index::log_wake_activity]  = factor(0.6, 0.6);
    s[index::log_wake_lag]       = factor(5.0, 1.0);       // thermal h
    s[index::log_creep_rate]     = factor(1.0 / 50.0, 0.8);
    s[index::creep_when]         = {0.0, 24.0};            // h
    // clang-format on
    return s;
}

/// What makes a family: the form of its curve, what it says of the indices that are its own, and of a slow
/// sugar.
struct FamilyKind {
    Form form;
    double chance;
    Spread saturation, hunger, fatigue;
    bool has_slow_sugar;
    std::initializer_list<int> own;
};
const FamilyKind& kind_of(Family family) {
    using enum Form;
    using namespace index;
    // clang-format off
    static const std::array<FamilyKind, families> kinds{{
        {growing_yeast, 1.0, factor(30, 0.5), factor(30, 0.5), factor(0.02, 0.5), false, {log_start}},
        {powered_logistic, 1.0, {}, {}, {}, false, {log_start, log_asymmetry}},
        {gompertz, 1.0, {}, {}, {}, false, {log_start}},
        {growing_yeast, 1.0, factor(0.6, 1.0), factor(0.15, 1.0), factor(1.0, 0.9), false,
         {log_start, log_saturation, log_hunger, log_fatigue}},
        {growing_yeast, 1.0, factor(1.0, 1.0), factor(0.15, 0.8), factor(0.2, 1.0), true,
         {log_start, log_saturation, log_hunger, log_fatigue, log_slow}},
        {growing_yeast, 1.0, factor(0.15, 0.8), factor(0.06, 0.8), factor(0.1, 1.0), false,
         {log_start, log_saturation, log_hunger, log_fatigue}},
    }};
    // clang-format on
    return kinds[static_cast<std::size_t>(family)];
}
/// In mixed cultures a second organism decides: one wide family stands for all.
constexpr Family only_mixed = Family::activated;
constexpr double repression_by_main = 0.3;
/// Yeast that stops growing early eats steadily, to an abrupt end: the two go together.
constexpr double saturation_with_hunger = 0.65;  // correlation

/// Apparent attenuation, as a share of the original points.
Spread attenuation(Culture culture) {
    return culture == Culture::lager   ? usual.attenuation_lager
           : culture == Culture::mixed ? usual.attenuation_mixed
                                       : usual.attenuation_ale;
}
/// The slow extract, as a share of the original points.
Spread slow_share(Culture culture, Family family) {
    return culture == Culture::mixed        ? usual.slow_mixed
           : kind_of(family).has_slow_sugar ? usual.slow
                                            : usual.no_slow;
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
};
constexpr std::array<MixtureComponent, 6> components{{
    {0.25, 0.4, 0.15, 0.02, 0.6},
    {0.20, 1.0, 0.15, 0.03, 0.8},
    {0.20, 0.4, 1.00, 0.03, 0.6},
    {0.14, 1.0, 1.00, 0.05, 1.2},
    {0.14, 0.8, 0.50, 0.20, 0.8},
    {0.07, 2.0, 1.50, 0.10, 1.6},
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

Claims claims_of(const MixtureComponent& component, const GravityPrior& prior, Family family,
                 bool late_sugar) {
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
    const Spread slow = slow_share(prior.culture, family);
    const double doubt = prior.expected_final_gravity ? usual.attenuation_doubt : 1.0;
    claims.add(drop - gone.mean * unit(linear::original), {0.0, doubt * gone.sigma * original});
    claims.add(unit(linear::slow) - slow.mean * unit(linear::original), {0.0, slow.sigma * original});
    if (prior.expected_final_gravity)
        claims.add(unit(linear::original) - drop,
                   {points_from_sg(*prior.expected_final_gravity),
                    points_per_sg * prior.expected_final_gravity_sigma * component.end});
    return claims;
}

/// Before any batch.
ShapePrior ordinary_prior(Culture culture, Family family) {
    const FamilyKind& kind = kind_of(family);
    auto ordinary = ordinary_shape(culture);
    const bool mixed = culture == Culture::mixed;
    if (!mixed && kind.form == Form::growing_yeast) {
        ordinary[index::log_saturation] = kind.saturation;
        ordinary[index::log_hunger] = kind.hunger;
        ordinary[index::log_fatigue] = kind.fatigue;
    }
    ShapePrior prior;
    prior.log_chance = mixed ? (family == only_mixed ? 0.0 : never_chosen) : std::log(kind.chance / families);
    ShapeMatrix covariance = ShapeMatrix::Zero();
    for (int i = 0; i < index::count; ++i) {
        const Spread& spread = ordinary[static_cast<std::size_t>(i)];
        prior.mean[i] = spread.mean;
        covariance(i, i) = spread.sigma * spread.sigma;
    }
    if (mixed)
        covariance(index::log_saturation, index::log_hunger) =
            covariance(index::log_hunger, index::log_saturation) =
                saturation_with_hunger * ordinary[index::log_saturation].sigma *
                ordinary[index::log_hunger].sigma;
    prior.root = Eigen::LLT<ShapeMatrix>{covariance}.matrixL();
    return prior;
}

/// ... and with what finished batches taught; without it where its covariance is none.
void learn(ShapePrior& prior, const LearnedFamily& learned) {
    ShapeMatrix covariance = prior.root * prior.root.transpose();
    covariance.topLeftCorner<index::learnt, index::learnt>() =
        (learned.covariance + learned.covariance.transpose()) / 2;
    const Eigen::LLT<ShapeMatrix> root{covariance};
    if (root.info() != Eigen::Success) return;
    prior.root = root.matrixL();
    prior.mean.head<index::learnt>() = learned.mean;
    prior.log_chance = learned.chance > 0 ? std::log(learned.chance) : never_chosen;
}

}  // namespace

bool is_usable(const LearnedCurve& learned) {
    constexpr auto n = static_cast<std::size_t>(index::learnt);
    if (learned.edition != learned_edition || learned.mean.size() != families * (1 + n) ||
        learned.covariance.size() != families * n * n)
        return false;
    const auto finite = [](double x) { return std::isfinite(x); };
    return std::ranges::all_of(learned.mean, finite) && std::ranges::all_of(learned.covariance, finite);
}

LearnedFamilies unpacked(const LearnedCurve& learned) {
    LearnedFamilies unpacked;
    const double* mean = learned.mean.data() + families;
    const double* covariance = learned.covariance.data();
    for (std::size_t f = 0; f < families; ++f) {
        unpacked[f].chance = learned.mean[f];
        for (double& x : unpacked[f].mean) x = *mean++;
        for (double& x : unpacked[f].covariance.reshaped()) x = *covariance++;
    }
    return unpacked;
}

LearnedCurve packed(const LearnedFamilies& learned, int batches) {
    LearnedCurve packed{.edition = learned_edition, .batches = batches, .mean = {}, .covariance = {}};
    for (const LearnedFamily& family : learned) packed.mean.push_back(family.chance);
    for (const LearnedFamily& family : learned) {
        packed.mean.insert(packed.mean.end(), family.mean.begin(), family.mean.end());
        const auto flat = family.covariance.reshaped();
        packed.covariance.insert(packed.covariance.end(), flat.begin(), flat.end());
    }
    return packed;
}

double ShapePrior::log_density_of_own(const ShapeVector& shape) const {
    double sum = 0;
    for (int i = index::shared; i < index::learnt; ++i) {
        const double sigma = root.row(i).norm();
        const double z = (shape[i] - mean[i]) / sigma;
        sum -= z * z / 2 + std::log(sigma);
    }
    return sum;
}

ShapePriors shape_priors(const GravityPrior& given) {
    ShapePriors priors;
    for (std::size_t f = 0; f < families; ++f)
        priors[f] = ordinary_prior(given.culture, static_cast<Family>(f));
    if (given.learned && is_usable(*given.learned)) {
        const LearnedFamilies learned = unpacked(*given.learned);
        for (std::size_t f = 0; f < families; ++f) learn(priors[f], learned[f]);
    }
    for (ShapePrior& prior : priors) {
        prior.whiten = prior.root.triangularView<Eigen::Lower>().solve(ShapeMatrix::Identity());
        prior.log_scale = prior.log_chance - prior.root.diagonal().array().log().sum();
    }
    return priors;
}

std::vector<int> indices_of(Family family, base::Culture culture) {
    using namespace index;
    if (culture == Culture::mixed)
        return {log_duration,   log_onset,  energy,      work_asleep,     log_start,
                log_saturation, log_hunger, log_fatigue, log_second_rate, log_second_odds};
    std::vector<int> indices{log_duration, log_onset, energy, work_asleep};
    const auto own = kind_of(family).own;
    indices.insert(indices.end(), own.begin(), own.end());
    return indices;
}

std::vector<LinearPrior> linear_priors(const GravityPrior& given, Family family, bool late_sugar) {
    std::vector<LinearPrior> priors;
    for (const MixtureComponent& component : components) {
        const Claims claims = claims_of(component, given, family, late_sugar);
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

double begun_by_thermal_h(const ShapePriors& priors) {
    double mean = 0, square = 0;
    for (const ShapePrior& prior : priors) {
        const double chance = std::exp(prior.log_chance), middle = prior.mean[index::log_onset];
        mean += chance * middle;
        square += chance * (middle * middle + prior.root.row(index::log_onset).squaredNorm());
    }
    return std::exp(mean + OverdueParameters{}.nine_in_ten * std::sqrt(square - mean * mean));
}

ShapeParameters shape_parameters(const ShapeVector& shape, Family family, base::Culture culture) {
    constexpr ShapeBounds bounds;
    const FamilyKind& kind = kind_of(family);
    const auto bounded = [&](int at, ShapeBounds::Range range) {
        return std::exp(std::clamp(shape[at], std::log(range.low), std::log(range.high)));
    };
    ShapeParameters parameters{.form = kind.form,
                               .duration_h = bounded(index::log_duration, bounds.duration_h),
                               .onset_h = bounded(index::log_onset, bounds.onset_h),
                               .start = bounded(index::log_start, bounds.start),
                               .saturation = bounded(index::log_saturation, bounds.saturation),
                               .hunger = bounded(index::log_hunger, bounds.hunger),
                               .fatigue = bounded(index::log_fatigue, bounds.fatigue),
                               .asymmetry = bounded(index::log_asymmetry, bounds.asymmetry),
                               .slow = bounded(index::log_slow, bounds.slow),
                               .has_second_organism = culture == base::Culture::mixed,
                               .second_per_h = bounded(index::log_second_rate, bounds.second_per_h),
                               .second_odds = bounded(index::log_second_odds, bounds.second_odds)};
    if (kind.has_slow_sugar && culture != base::Culture::mixed) parameters.repression = repression_by_main;
    return parameters;
}

ThermalMix thermal_mix(const ShapeVector& shape) {
    return {shape[index::energy], 1.0 / (1.0 + std::exp(-shape[index::work_asleep]))};
}

}  // namespace gyled::estimation::gravity
