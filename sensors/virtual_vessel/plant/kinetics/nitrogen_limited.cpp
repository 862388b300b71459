#include "sensors/virtual_vessel/plant/kinetics/nitrogen_limited.hpp"

#include <algorithm>

namespace gyled::virtual_vessel {
namespace {

constexpr double ethanol_per_g = 0.5;
constexpr double nitrogen_half = 0.05;  // of what there was
constexpr double lager_slowness = 0.52;
constexpr double ale_reference_c = 20;
constexpr double lager_reference_c = 11;

}  // namespace

NitrogenLimited::Constants NitrogenLimited::draw(base::Culture culture, bool at_once, Random& random) {
    const bool cool = culture == base::Culture::lager;
    const double pace = cool ? lager_slowness : 1.0;
    Constants k{};
    k.cardinal.coldest_c = cool ? random.between(-4, -1) : random.between(4, 7);
    k.cardinal.best_c = cool ? random.between(24, 27) : random.between(28, 31);
    k.cardinal.hottest_c = k.cardinal.best_c + 8;
    k.at_reference = k.cardinal.vigour(cool ? lager_reference_c : ale_reference_c);
    k.pitch = at_once ? random.between(0.9, 1.4) : random.between(0.32, 0.5);
    k.nitrogen = random.between(1.4, 2.2);
    k.growth_per_h = pace * random.between(0.07, 0.12);
    k.uptake = pace * random.between(0.33, 0.46);
    k.half = random.between(0.4, 1.2);
    k.death_per_h_g = random.between(0, 1.5e-4);
    return k;
}

NitrogenLimited::NitrogenLimited(const Constants& constants, double fermentable_g_per_l)
    : k_{constants}, start_{fermentable_g_per_l} {
    now_ = {start_, k_.pitch, k_.nitrogen};
}

void NitrogenLimited::step(const Moment& m) {
    const double vigour = k_.cardinal.vigour(m.celsius) / k_.at_reference;
    const double work = m.viability * vigour;
    step_midpoint(now_, m.hours, [&](const Vector& s) {
        const double growth =
            k_.growth_per_h * work * saturation(s[nitrogen], nitrogen_half * k_.nitrogen) * s[yeast];
        const double ethanol = ethanol_per_g * std::max(0.0, start_ - s[sugar]);
        Vector d{};
        d[sugar] = -k_.uptake * work * saturation(s[sugar], k_.half) * s[yeast];
        d[nitrogen] = -growth;
        d[yeast] = growth - k_.death_per_h_g * vigour * ethanol * s[yeast];
        return d;
    });
}

}  // namespace gyled::virtual_vessel
