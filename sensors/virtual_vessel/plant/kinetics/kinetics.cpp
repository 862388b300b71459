#include "sensors/virtual_vessel/plant/kinetics/kinetics.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double starts_at_once = 1.0 / 3.0;

decltype(Yeast::first) draw_first(base::Culture culture, Family family, bool at_once, Random& random) {
    switch (family) {
        case Family::activated_biomass:
            return ActivatedBiomass::draw(culture, at_once, random);
        case Family::gompertz:
            return GrowthCurve::draw_gompertz(culture, at_once, random);
        case Family::logistic:
            return GrowthCurve::draw_logistic(culture, at_once, random);
        case Family::three_sugars:
            return ThreeSugars::draw(culture, at_once, random);
        case Family::nitrogen_limited:
            return NitrogenLimited::draw(culture, at_once, random);
        case Family::monod:
            break;
    }
    return Monod::draw(culture, at_once, random);
}

using First = std::variant<Monod, ActivatedBiomass, GrowthCurve, ThreeSugars, NitrogenLimited>;
First made(const Monod::Constants& k, double grams) {
    return Monod{k, grams};
}
First made(const ActivatedBiomass::Constants& k, double grams) {
    return ActivatedBiomass{k, grams};
}
First made(const GrowthCurve::Constants& k, double grams) {
    return GrowthCurve{k, grams};
}
First made(const ThreeSugars::Constants& k, double grams) {
    return ThreeSugars{k, grams};
}
First made(const NitrogenLimited::Constants& k, double grams) {
    return NitrogenLimited{k, grams};
}

}  // namespace

Yeast draw_yeast(base::Culture culture, Family family, Random& random) {
    Yeast yeast;
    const bool cool = culture == base::Culture::lager;
    yeast.attenuation_percent = cool ? random.between(75, 82) : random.between(70, 80);
    yeast.share_kept = random.triangular(0.06, 0.09, 0.13);
    const bool at_once = random.happens(starts_at_once);
    yeast.first = draw_first(culture, family, at_once, random);
    if (culture == base::Culture::mixed) {
        yeast.second = SecondOrganism::draw(random);
        yeast.second_attenuation_percent = random.between(86, 97);
    }
    return yeast;
}

Kinetics::Kinetics(const Yeast& yeast, double fermentable_g_per_l)
    : first_{std::visit([&](const auto& constants) { return made(constants, fermentable_g_per_l); },
                        yeast.first)} {}

void Kinetics::step(const Moment& moment) {
    std::visit([&](auto& organism) { organism.step(moment); }, first_);
}

void Kinetics::add(double grams) {
    std::visit([&](auto& organism) { organism.add(grams); }, first_);
}

double Kinetics::left() const {
    return std::visit([](const auto& organism) { return organism.left(); }, first_);
}

}  // namespace gyled::virtual_vessel
