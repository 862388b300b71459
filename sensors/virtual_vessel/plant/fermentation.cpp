#include "sensors/virtual_vessel/plant/fermentation.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/balling.hpp"

namespace gyled::virtual_vessel {
namespace {

using brewing::balling_extract_g;
/// g of CO2 and yeast that leave the liquid per g of extract fermented (Balling).
constexpr double loss_per_extract = (brewing::balling_co2_g + brewing::balling_yeast_g) / balling_extract_g;
constexpr double settled_activity = 0.12;     // yeast on the floor still works a little
constexpr double cold_settling_per_h = 0.25;  // when it falls asleep
constexpr double kept_of_asleep = 0.4;        // the rest is lost to the floor
constexpr double waking_per_h = 0.03;
constexpr double freeing_per_h = 1.0 / 72.0;
constexpr double giving_up_per_h = 0.6;
constexpr double viability_floor = 0.001;

double monod(double food, double half) {
    return food <= 0 ? 0 : food / (half + food);
}

/// g of extract per 100 g of wort that ferments on the way to this apparent attenuation, by Balling's masses.
double fermentable_percent(double original_plato, double attenuation_percent) {
    const double apparent = original_plato * (1.0 - attenuation_percent / 100.0);
    const double real = brewing::real_extract_plato({original_plato, apparent});
    return 100.0 * (original_plato - real) / (100.0 - loss_per_extract * real);
}

}  // namespace

Fermentation::Fermentation(const Yeast& constants, double original_gravity)
    : yeast_{constants},
      original_plato_{brewing::plato_from_sg(original_gravity)},
      wort_g_per_l_{original_gravity * brewing::water_density_at_20_c},
      start_extract_{original_plato_ / 100.0 * wort_g_per_l_},
      fermentable_{fermentable_percent(original_plato_, yeast_.attenuation_percent) / 100.0 * wort_g_per_l_} {
    double second_fermentable = 0;
    if (yeast_.second_attenuation_percent > yeast_.attenuation_percent)
        second_fermentable =
            fermentable_percent(original_plato_, yeast_.second_attenuation_percent) / 100.0 * wort_g_per_l_ -
            fermentable_;
    now_[fast] = fermentable_ * (1.0 - yeast_.slow_share);
    now_[slow] = fermentable_ * yeast_.slow_share;
    now_[dextrin] = second_fermentable;
    rest_ = start_extract_ - fermentable_ - second_fermentable;
    now_[yeast] = yeast_.pitch;
    now_[nitrogen] = yeast_.growth_limit;
    now_[lag] = yeast_.readiness;
    now_[second] = yeast_.second_pitch;
}

Fermentation::Vector Fermentation::slope(const Vector& s, double vigour_now, double dormancy_now) const {
    const double gone = start_extract_ - (s[fast] + s[slow] + s[dextrin] + rest_);
    const double ethanol_hold = std::max(0.0, 1.0 - gone / balling_extract_g / yeast_.ethanol_limit);
    const double awake = s[lag] / (1.0 + s[lag]);
    const double at_work =
        viability_ * awake * vigour_now * ethanol_hold * (s[yeast] + settled_activity * s[settled]);
    const double sugar = s[fast] + s[slow];

    Vector d{};
    d[fast] = -yeast_.fast_uptake * at_work * monod(s[fast], yeast_.fast_half);
    d[slow] = -yeast_.slow_uptake * at_work * monod(s[slow], yeast_.slow_half) * yeast_.slow_repression /
              (yeast_.slow_repression + s[fast]);
    d[dextrin] = -yeast_.second_uptake * vigour_now * s[second] * monod(s[dextrin], yeast_.second_half);

    const double growth = yeast_.growth_per_h * viability_ * awake * vigour_now * ethanol_hold * s[yeast] *
                          monod(s[nitrogen], 0.15 * yeast_.growth_limit) * monod(sugar, 2.0);
    const double settling = yeast_.settling_per_h * s[yeast] * (1.0 - monod(sugar, 6.0));
    const double falling_asleep = cold_settling_per_h * dormancy_now * s[yeast];
    const double waking = waking_per_h * (1.0 - dormancy_now) * s[asleep];
    d[yeast] = growth - settling - falling_asleep + waking;
    d[settled] = settling;
    d[asleep] = kept_of_asleep * falling_asleep - waking;
    d[nitrogen] = -growth;
    d[lag] = s[lag] > 1e3 ? 0 : yeast_.growth_per_h * vigour_now * s[lag];
    d[second] = yeast_.second_limit <= 0 ? 0
                                         : yeast_.second_growth_per_h * vigour_now * s[second] *
                                               (1.0 - s[second] / yeast_.second_limit);
    return d;
}

void Fermentation::step(double hours, double celsius) {
    const double gone_before = fermented_g_per_l();
    const double vigour_now = vigour(yeast_, celsius);
    const double dormancy_now = dormancy(yeast_, celsius);
    const Vector first = slope(now_, vigour_now, dormancy_now);
    Vector middle = now_;
    for (int i = 0; i < parts; ++i) middle[i] += 0.5 * hours * first[i];
    const Vector along = slope(middle, vigour_now, dormancy_now);
    for (int i = 0; i < parts; ++i) now_[i] = std::max(0.0, now_[i] + hours * along[i]);
    rate_ = (fermented_g_per_l() - gone_before) / hours;

    const double freed = bound_ * -std::expm1(-freeing_per_h * hours);
    bound_ -= freed;
    rest_ -= freed;
    now_[slow] += freed;
    if (giving_up_) viability_ = std::max(viability_floor, viability_ * std::exp(-giving_up_per_h * hours));
}

void Fermentation::finish_at_once() {
    now_[fast] = now_[slow] = now_[dextrin] = 0;
    now_[settled] = yeast_.growth_limit;
    now_[yeast] = 0.02;
    now_[nitrogen] = 0;
    now_[lag] = 1e3;
}

double Fermentation::drop_done() const {
    return fermented_g_per_l() / fermentable_;
}

double Fermentation::grams_per_point() const {
    const double near_end =
        brewing::sg_from_plato(original_plato_ * (1.0 - yeast_.attenuation_percent / 100.0));
    return (brewing::plato_from_sg(near_end + 0.001) - brewing::plato_from_sg(near_end)) *
           brewing::real_per_apparent_drop / 100.0 * wort_g_per_l_;
}

double Fermentation::sg_when_gone(double gone) const {
    const double real = 100.0 * (start_extract_ - gone) / (wort_g_per_l_ - loss_per_extract * gone);
    return brewing::sg_from_plato((real - 0.1808 * original_plato_) / brewing::real_per_apparent_drop);
}

BeerState Fermentation::beer() const {
    const double gone = fermented_g_per_l();
    const double beer_g = wort_g_per_l_ - loss_per_extract * gone;
    const double alcohol_by_weight = 100.0 * gone / balling_extract_g / beer_g;
    BeerState out;
    out.sg = sg_when_gone(gone);
    out.real_extract_plato = 100.0 * (start_extract_ - gone) / beer_g;
    out.alcohol_by_volume = brewing::alcohol_by_volume_from_weight(alcohol_by_weight, out.sg);
    out.rate_sg_per_day = (sg_when_gone(gone + 0.1) - out.sg) / 0.1 * rate_ * 24.0;
    out.fermented_g_per_l = gone;
    out.drop_done = drop_done();
    out.yeast_g_per_l = now_[yeast] + now_[second];
    return out;
}

}  // namespace gyled::virtual_vessel
