#include "sensors/virtual_vessel/plant/fermentation.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

constexpr double freeing_per_h = 1.0 / 72.0;
constexpr double giving_up_per_h = 0.6;
constexpr double viability_floor = 0.001;
constexpr double point_sg = 0.001;
constexpr double rate_probe_g_per_l = 0.1;

double sg_at_attenuation(double original_sg, double percent) {
    return wort_sg(wort_plato(original_sg) * (1.0 - percent / 100.0));
}

}  // namespace

Fermentation::Fermentation(const Yeast& yeast, double original_gravity)
    : yields_{yields(yeast.share_kept)},
      original_sg_{original_gravity},
      wort_g_per_l_{original_gravity * water_g_per_l_at_20_c},
      extract_g_per_l_{wort_extract_g_per_l(original_gravity)},
      fermentable_{grams_to_attenuation(yeast.attenuation_percent)},
      first_{yeast, fermentable_} {
    if (!yeast.second || yeast.second_attenuation_percent <= yeast.attenuation_percent) return;
    second_.emplace(*yeast.second, grams_to_attenuation(yeast.second_attenuation_percent) - fermentable_);
}

/// CO2 and yeast leave the liquid; what is left is shared out by weight.
Fermentation::Made Fermentation::when_gone(double grams) const {
    const double beer_g = wort_g_per_l_ - (yields_.co2 + yields_.yeast) * grams;
    const double real = 100.0 * (extract_g_per_l_ - grams) / beer_g;
    const double alcohol = 100.0 * yields_.ethanol * grams / beer_g;
    return {beer_sg(real, alcohol), real, alcohol};
}

/// The grams that bring the beer to this apparent attenuation, by bisection.
double Fermentation::grams_to_attenuation(double percent) const {
    const double goal = sg_at_attenuation(original_sg_, percent);
    double low = 0;
    double high = extract_g_per_l_;
    for (int halving = 0; halving < 60; ++halving) {
        const double middle = (low + high) / 2.0;
        (when_gone(middle).sg > goal ? low : high) = middle;
    }
    return low;
}

void Fermentation::step(double hours, double celsius) {
    if (over_) return;
    const double before = first_.left() + (second_ ? second_->left() : 0.0);
    const Moment moment{hours, celsius, viability_};
    first_.step(moment);
    if (second_) second_->step({hours, celsius, 1.0});
    const double eaten = before - first_.left() - (second_ ? second_->left() : 0.0);
    gone_ += eaten;
    rate_ = eaten / hours;

    const double freed = bound_ * -std::expm1(-freeing_per_h * hours);
    bound_ -= freed;
    first_.add(freed);
    if (giving_up_) viability_ = std::max(viability_floor, viability_ * std::exp(-giving_up_per_h * hours));
}

void Fermentation::free_more(double sg_points) {
    const double sg_per_g = (when_gone(fermentable_).sg - when_gone(fermentable_ - 1.0).sg);
    bound_ += std::min(sg_points * point_sg / -sg_per_g, extract_g_per_l_ - fermentable_);
}

void Fermentation::finish_at_once() {
    gone_ = fermentable_;
    rate_ = 0;
    over_ = true;
}

double Fermentation::drop_done() const {
    return gone_ / fermentable_;
}

double Fermentation::co2_to_come_g_per_l() const {
    if (over_) return 0;
    return yields_.co2 * (first_.left() + bound_ + (second_ ? second_->left() : 0.0));
}

BeerState Fermentation::beer() const {
    const Made made = when_gone(gone_);
    BeerState out;
    out.sg = made.sg;
    out.real_extract_plato = made.real_plato;
    out.extract_g_per_l = made.real_plato / 100.0 * made.sg * water_g_per_l_at_20_c;
    out.alcohol_by_volume = alcohol_by_volume(made.alcohol_by_weight, made.sg);
    out.rate_sg_per_day =
        (when_gone(gone_ + rate_probe_g_per_l).sg - made.sg) / rate_probe_g_per_l * rate_ * 24.0;
    return out;
}

}  // namespace gyled::virtual_vessel
