#include "sensors/virtual_vessel/plant/kinetics/activated_biomass.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/base/units.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double ethanol_per_g = 0.5;
constexpr double surviving_activity = 0.08;  // of the dead, some are only asleep, on the floor too

/// The published rates at one temperature; per hour, and g/L for the half saturation.
struct Rates {
    explicit Rates(double celsius) {
        const double t = base::kelvin(celsius);
        growth = std::exp(108.31 - 31934.09 / t);
        uptake = std::exp(-41.92 + 11654.64 / t);
        waking = std::exp(30.72 - 9501.54 / t);
        dying = std::exp(130.16 - 38313.0 / t);
        half = std::exp(-119.63 + 34203.95 / t);
        settling = std::exp(33.82 - 10033.28 / t);
    }
    double growth, uptake, waking, dying, half, settling;
};

}  // namespace

ActivatedBiomass::Constants ActivatedBiomass::draw(base::Culture culture, bool at_once, Random& random) {
    Constants k{};
    k.warmth = draw_warmth(culture, random);
    const bool cool = culture == base::Culture::lager;
    k.strain_c = cool ? random.between(11.0, 12.5) : random.between(12.8, 14.2);
    k.feels = cool ? random.between(0.45, 0.65) : random.between(0.30, 0.45);
    const double more = cool ? random.between(0.22, 0.34) : random.between(0.46, 0.72);
    k.latent = more * (at_once ? 0.4 : 1.92);
    k.active = more * (at_once ? 1.6 : 0.08);
    k.dead = more * 2.0;
    return k;
}

ActivatedBiomass::ActivatedBiomass(const Constants& constants, double fermentable_g_per_l)
    : k_{constants}, start_{fermentable_g_per_l} {
    now_ = {start_, k_.latent, k_.active, k_.dead, 0};
}

void ActivatedBiomass::step(const Moment& m) {
    const Rates r{k_.strain_c + k_.feels * (m.celsius - k_.warmth.reference_c)};
    const double awake = 1.0 - k_.warmth.dormancy(m.celsius);
    const double work = awake * m.viability;
    step_midpoint(now_, m.hours, [&](const Vector& s) {
        const double ethanol = ethanol_per_g * std::max(0.0, start_ - s[sugar]);
        const double hold = 0.5 * start_ + ethanol;
        const double growth = r.growth * s[sugar] / hold * work * s[active];
        const double dying = awake * r.dying * s[active];
        const double waking = awake * r.waking * s[latent];
        Vector d{};
        d[sugar] = -r.uptake * saturation(s[sugar], r.half) * work *
                   (s[active] + surviving_activity * (s[dead] + s[floor]));
        d[latent] = -waking;
        d[active] = growth - dying + waking;
        const double settling = r.settling * 0.5 * start_ / hold * s[dead];
        d[dead] = dying - settling;
        d[floor] = settling;
        return d;
    });
}

}  // namespace gyled::virtual_vessel
