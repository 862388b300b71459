#include "sensors/virtual_vessel/plant/heating.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace gyled::virtual_vessel {
namespace {

constexpr double water_kj_per_kg_k = 4.186;
constexpr double grain_heat = 0.40;  // relative to water
constexpr double slaking_c = 1.5;    // malt of 4 % moisture
constexpr double latent_kj_per_kg = 2257.0;
// A 21 L vessel; surfaces grow with the two-thirds power of the contents.
constexpr double jacket_kj_per_k = 7.0;
constexpr double jacket_w_per_k = 6.0;       // jacket to beer
constexpr double jacket_loss_w_per_k = 0.8;  // jacket to room
constexpr double lid_loss_w_per_k = 0.6;     // beer to room
constexpr double shell_kj_per_k = 4.0;       // steel, always as warm as the beer
constexpr double coldest_jacket_c = -4.0;    // the coolant's own controller
constexpr double coil_w_per_k = 140.0;
constexpr double tap_water_c = 15.0;
constexpr double hot_loss_factor = 4.0;  // an open, steaming lid

}  // namespace

Heating::Heating(const Shape& shape, double beer_c, double room_c)
    : shape_{shape}, beer_c_{beer_c}, jacket_c_{0.7 * beer_c + 0.3 * room_c} {}

void Heating::set_contents(double litres, double grain_kg) {
    litres_ = litres;
    grain_kg_ = grain_kg;
}

void Heating::dough_in(double grain_kg, double grain_c) {
    const double water = litres_ + grain_heat * grain_kg_ + shell_kj_per_k / water_kj_per_kg_k;
    const double grain = grain_heat * grain_kg;
    beer_c_ = (water * beer_c_ + grain * grain_c) / (water + grain) + slaking_c;
    grain_kg_ += grain_kg;
}

/// The thermostat looks at what beer and jacket will mix to, so the jacket's store of cold does not
/// overshoot.
void Heating::switch_thermostat(const Duty& duty) {
    const double beer_kj = water_kj_per_kg_k * litres_ + shell_kj_per_k;
    const double jacket_kj = jacket_kj_per_k * std::pow(litres_ / 21.0, 2.0 / 3.0);
    const double mixed_c = (beer_kj * beer_c_ + jacket_kj * jacket_c_) / (beer_kj + jacket_kj);
    if (mixed_c > duty.set_point_c + shape_.band_c) chilling_ = true;
    if (mixed_c < duty.set_point_c) chilling_ = false;
    if (mixed_c < duty.set_point_c - shape_.band_c) heating_ = true;
    if (mixed_c > duty.set_point_c) heating_ = false;
}

void Heating::step(double hours, const Duty& duty) {
    const double size = std::pow(litres_ / 21.0, 2.0 / 3.0);
    const double seconds = hours * 3600.0;
    double beer_w = duty.reaction_w;
    double jacket_w = 0;
    double lid_loss = lid_loss_w_per_k;

    if (duty.kind == Duty::Kind::hold) {
        switch_thermostat(duty);
        if (chilling_ && duty.chiller_works && jacket_c_ > coldest_jacket_c) jacket_w -= shape_.chiller_w;
        if (heating_ && duty.heater_works) jacket_w += shape_.jacket_heater_w;
    } else {
        lid_loss *= hot_loss_factor;
        chilling_ = duty.kind == Duty::Kind::plunge && beer_c_ > duty.set_point_c;
        if (duty.kind == Duty::Kind::element) {
            if (beer_c_ < duty.set_point_c - shape_.band_c) heating_ = true;
            if (beer_c_ >= duty.set_point_c) heating_ = false;
        } else {
            heating_ = duty.kind == Duty::Kind::boil;
        }
        const bool boiling = duty.kind == Duty::Kind::boil && beer_c_ >= duty.boiling_point_c - 0.05;
        if (heating_ && duty.heater_works) beer_w += boiling ? duty.simmer_w : shape_.element_w;
        if (chilling_ && duty.chiller_works) beer_w += coil_w_per_k * size * (tap_water_c - beer_c_);
    }

    const double through_w = jacket_w_per_k * size * (jacket_c_ - beer_c_);
    beer_w += through_w + lid_loss * size * (duty.room_c - beer_c_);
    jacket_w += -through_w + jacket_loss_w_per_k * size * (duty.room_c - jacket_c_);

    const double beer_j_per_k =
        1000.0 * (water_kj_per_kg_k * (litres_ + grain_heat * grain_kg_) + shell_kj_per_k);
    beer_c_ += beer_w * seconds / beer_j_per_k;
    jacket_c_ += jacket_w * seconds / (1000.0 * jacket_kj_per_k * size);
    jacket_c_ = std::max(jacket_c_, std::min(coldest_jacket_c, duty.room_c));
    if (beer_c_ > duty.boiling_point_c) {
        steam_kg_ += (beer_c_ - duty.boiling_point_c) * beer_j_per_k / 1000.0 / latent_kj_per_kg;
        beer_c_ = duty.boiling_point_c;
    }
}

double Heating::take_steam_kg() {
    return std::exchange(steam_kg_, 0.0);
}

}  // namespace gyled::virtual_vessel
