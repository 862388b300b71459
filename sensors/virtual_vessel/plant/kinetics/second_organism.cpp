#include "sensors/virtual_vessel/plant/kinetics/second_organism.hpp"

namespace gyled::virtual_vessel {

SecondOrganism::Constants SecondOrganism::draw(Random& random) {
    Constants k{};
    k.warmth = draw_warmth(base::Culture::mixed, random);
    k.pitch = random.between(0.004, 0.010);
    k.growth_per_h = random.between(0.010, 0.020);
    k.limit = random.between(0.25, 0.40);
    k.uptake = random.between(0.09, 0.16);
    k.half = random.between(6, 10);
    return k;
}

SecondOrganism::SecondOrganism(const Constants& constants, double dextrin_g_per_l)
    : k_{constants}, now_{dextrin_g_per_l, constants.pitch} {}

void SecondOrganism::step(const Moment& m) {
    const double vigour = k_.warmth.vigour(m.celsius);
    step_midpoint(now_, m.hours, [&](const Vector& s) {
        Vector d{};
        d[dextrin] = -k_.uptake * vigour * s[biomass] * saturation(s[dextrin], k_.half);
        d[biomass] = k_.growth_per_h * vigour * s[biomass] * (1.0 - s[biomass] / k_.limit);
        return d;
    });
}

}  // namespace gyled::virtual_vessel
