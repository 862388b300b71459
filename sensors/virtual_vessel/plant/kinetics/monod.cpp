#include "sensors/virtual_vessel/plant/kinetics/monod.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

constexpr double settled_activity = 0.12;     // yeast on the floor still works a little
constexpr double cold_settling_per_h = 0.25;  // when it falls asleep
constexpr double kept_of_asleep = 0.4;        // the rest is lost to the floor
constexpr double waking_per_h = 0.03;
constexpr double ethanol_per_g = 0.5;      // near enough to know when it is too strong
constexpr double nitrogen_half = 0.15;     // of the growth limit
constexpr double growth_half_g_per_l = 2;  // sugar at which growth halves
constexpr double settles_below_g_per_l = 6;
constexpr double lag_is_over = 1e3;  // far into the exponential: awake
constexpr double never_lagged = 20;  // a repitched slurry, 95 % awake

}  // namespace

Monod::Constants Monod::draw(base::Culture culture, bool at_once, Random& random) {
    const bool cool = culture == base::Culture::lager;
    Constants k{};
    k.warmth = draw_warmth(culture, random);
    k.pitch = cool ? random.between(0.4, 0.7) : random.between(0.20, 0.40);
    k.readiness = std::exp(random.between(-2.2, -0.4));
    if (at_once) {
        k.readiness = never_lagged;
        k.pitch *= 1.5;
    }
    k.growth_per_h = cool ? random.between(0.050, 0.080) : random.between(0.10, 0.15);
    k.growth_limit = random.between(1.6, 2.6);
    k.fast_uptake = cool ? random.between(0.22, 0.36) : random.between(0.55, 0.85);
    k.fast_half = random.between(5, 10);
    k.slow_uptake = cool ? random.between(0.10, 0.18) : random.between(0.22, 0.36);
    k.slow_half = random.between(4, 8);
    k.slow_repression = random.between(10, 25);
    k.slow_share = cool ? random.between(0.12, 0.20) : random.between(0.14, 0.24);
    k.ethanol_limit = random.between(105, 140);
    k.settling_per_h = cool ? random.between(0.003, 0.008) : random.between(0.005, 0.015);
    return k;
}

Monod::Monod(const Constants& constants, double fermentable_g_per_l)
    : k_{constants}, start_{fermentable_g_per_l} {
    now_[fast] = start_ * (1.0 - k_.slow_share);
    now_[slow] = start_ * k_.slow_share;
    now_[yeast] = k_.pitch;
    now_[nitrogen] = k_.growth_limit;
    now_[lag] = k_.readiness;
}

Monod::Vector Monod::slope(const Vector& s, double vigour, double dormancy, double viability) const {
    const double gone = std::max(0.0, start_ - s[fast] - s[slow]);
    const double ethanol_hold = std::max(0.0, 1.0 - ethanol_per_g * gone / k_.ethanol_limit);
    const double awake = s[lag] / (1.0 + s[lag]);
    const double drive = viability * awake * vigour * ethanol_hold;
    const double at_work = drive * (s[yeast] + settled_activity * s[settled]);
    const double sugar = s[fast] + s[slow];

    Vector d{};
    d[fast] = -k_.fast_uptake * at_work * saturation(s[fast], k_.fast_half);
    d[slow] = -k_.slow_uptake * at_work * saturation(s[slow], k_.slow_half) * k_.slow_repression /
              (k_.slow_repression + s[fast]);
    const double growth = k_.growth_per_h * drive * s[yeast] *
                          saturation(s[nitrogen], nitrogen_half * k_.growth_limit) *
                          saturation(sugar, growth_half_g_per_l);
    const double settling = k_.settling_per_h * s[yeast] * (1.0 - saturation(sugar, settles_below_g_per_l));
    const double falling_asleep = cold_settling_per_h * dormancy * s[yeast];
    const double waking = waking_per_h * (1.0 - dormancy) * s[asleep];
    d[yeast] = growth - settling - falling_asleep + waking;
    d[settled] = settling;
    d[asleep] = kept_of_asleep * falling_asleep - waking;
    d[nitrogen] = -growth;
    d[lag] = s[lag] > lag_is_over ? 0 : k_.growth_per_h * vigour * s[lag];
    return d;
}

void Monod::step(const Moment& m) {
    const double vigour = k_.warmth.vigour(m.celsius);
    const double dormancy = k_.warmth.dormancy(m.celsius);
    step_midpoint(now_, m.hours, [&](const Vector& s) { return slope(s, vigour, dormancy, m.viability); });
}

}  // namespace gyled::virtual_vessel
