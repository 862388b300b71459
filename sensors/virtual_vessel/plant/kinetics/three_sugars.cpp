#include "sensors/virtual_vessel/plant/kinetics/three_sugars.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double lager_slowness = 0.52;
constexpr double cold_settling_per_h = 0.015;  // asleep, it goes to the floor
constexpr double settling_per_h = 0.004;       // once sugar is short
constexpr double short_g_per_l = 4;

}  // namespace

ThreeSugars::Constants ThreeSugars::draw(base::Culture culture, bool at_once, Random& random) {
    Constants k{};
    k.warmth = draw_warmth(culture, random);
    const double pace = culture == base::Culture::lager ? lager_slowness : 1.0;
    k.pitch = at_once ? random.between(0.7, 1.0) : random.between(0.30, 0.45);
    k.grown_per_g = random.between(0.024, 0.032);
    k.glucose_share = random.between(0.12, 0.20);
    k.maltotriose_share = random.between(0.14, 0.22);
    k.glucose_rate = pace * random.between(0.6, 0.9);
    k.maltose_rate = pace * random.between(0.46, 0.62);
    k.triose_rate = pace * random.between(0.18, 0.3);
    k.half = random.between(1.5, 5);
    k.glucose_hold = random.between(2, 6);
    k.maltose_hold = random.between(12, 30);
    return k;
}

ThreeSugars::ThreeSugars(const Constants& constants, double fermentable_g_per_l) : k_{constants} {
    now_[glucose] = k_.glucose_share * fermentable_g_per_l;
    now_[maltotriose] = k_.maltotriose_share * fermentable_g_per_l;
    now_[maltose] = fermentable_g_per_l - now_[glucose] - now_[maltotriose];
    now_[yeast] = k_.pitch;
}

void ThreeSugars::step(const Moment& m) {
    const double work = m.viability * k_.warmth.vigour(m.celsius);
    const double cold = cold_settling_per_h * k_.warmth.dormancy(m.celsius);
    step_midpoint(now_, m.hours, [&](const Vector& s) {
        const double past_glucose = k_.glucose_hold / (k_.glucose_hold + s[glucose]);
        const double past_maltose = k_.maltose_hold / (k_.maltose_hold + s[maltose]);
        const double at_work = work * s[yeast];
        Vector d{};
        d[glucose] = -k_.glucose_rate * at_work * saturation(s[glucose], k_.half);
        d[maltose] = -k_.maltose_rate * at_work * saturation(s[maltose], k_.half) * past_glucose;
        d[maltotriose] =
            -k_.triose_rate * at_work * saturation(s[maltotriose], k_.half) * past_glucose * past_maltose;
        const double uptake = -(d[glucose] + d[maltose] + d[maltotriose]);
        const double sugar = s[glucose] + s[maltose] + s[maltotriose];
        d[yeast] = k_.grown_per_g * uptake -
                   (cold + settling_per_h * (1.0 - saturation(sugar, short_g_per_l))) * s[yeast];
        return d;
    });
}

}  // namespace gyled::virtual_vessel
