#include "sensors/virtual_vessel/plant/kinetics/growth_curve.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

constexpr double lager_slowness = 0.52;  // relative to an ale, each at its reference
constexpr double lag_ends_at = 0.05;

/// Hours at the reference until a twentieth is done.
double draw_lag_h(base::Culture culture, bool at_once, Random& random) {
    const double hours = at_once ? random.between(2, 5) : random.between(8, 26);
    return culture == base::Culture::lager ? hours / lager_slowness : hours;
}

GrowthCurve::Constants draw_curve(base::Culture culture, double fastest, Random& random) {
    GrowthCurve::Constants k{};
    k.warmth = draw_warmth(culture, random);
    k.rate_per_h = fastest * random.between(0.7, 1.0);
    if (culture == base::Culture::lager) k.rate_per_h *= lager_slowness;
    return k;
}

}  // namespace

GrowthCurve::Constants GrowthCurve::draw_gompertz(base::Culture culture, bool at_once, Random& random) {
    Constants k = draw_curve(culture, 0.060, random);
    const double lag_h = draw_lag_h(culture, at_once, random);
    k.begun = std::exp(std::log(lag_ends_at) * std::exp(k.rate_per_h * lag_h));
    return k;
}

GrowthCurve::Constants GrowthCurve::draw_logistic(base::Culture culture, bool at_once, Random& random) {
    const double asymmetry = std::exp(random.between(std::log(0.5), std::log(2.2)));
    Constants k = draw_curve(culture, 0.060 * (1.3 + 0.5 * asymmetry), random);
    k.asymmetry = asymmetry;
    k.begun = lag_ends_at * std::exp(-k.rate_per_h / asymmetry * draw_lag_h(culture, at_once, random));
    return k;
}

GrowthCurve::GrowthCurve(const Constants& constants, double fermentable_g_per_l)
    : k_{constants}, total_{fermentable_g_per_l} {}

double GrowthCurve::slope(double share) const {
    if (k_.asymmetry == 0) return -k_.rate_per_h * share * std::log(share);
    return k_.rate_per_h * share * (1.0 - std::pow(share, k_.asymmetry)) / k_.asymmetry;
}

void GrowthCurve::step(const Moment& m) {
    const double warm_hours = m.hours * m.viability * k_.warmth.vigour(m.celsius);
    const auto share = [&](double gone) { return k_.begun + (1.0 - k_.begun) * gone / total_; };
    const double grams = total_ / (1.0 - k_.begun) * warm_hours;
    const double middle = std::min(total_, gone_ + 0.5 * grams * slope(share(gone_)));
    gone_ = std::min(total_, gone_ + grams * slope(share(middle)));
}

void GrowthCurve::add(double grams) {
    total_ += grams;
}

}  // namespace gyled::virtual_vessel
