#include "sensors/virtual_vessel/plant/head_space.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/base/units.hpp"
#include "sensors/virtual_vessel/plant/carbon_dioxide.hpp"
#include "sensors/virtual_vessel/plant/steam.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double vent_conductance = 0.5;  // a blow-off hose
constexpr double open_lid_conductance = 500;
constexpr double spunding_conductance = 0.2;
constexpr double relief_conductance = 0.006;  // 1 mol/h at 180 kPa: twice what a fermentation makes
constexpr double regulator_conductance = 0.5;
constexpr double regulator_mol_per_h = 6.0;  // some 140 L/h through a thin hose

// Salting out, as natural logarithms: from the solubility of CO2 in wine of 12.5 % (0.875 of water at 10
// degC) and in sucrose of 10 % (0.94 of water), both from memory.
constexpr double per_percent_alcohol = 0.0099;
constexpr double per_g_extract = 0.0006;
constexpr double tilt_turns_at_c = 15.0;

// Surface renewal (Danckwerts): the coefficient goes with the root of the diffusivity. What takes up gas
// grows heavy at the surface and sinks, so uptake stirs itself, with the fourth root of the difference (the
// exponent of laminar natural convection); what gives gas off stays on top. Rising bubbles stir as well.
constexpr double reference_c = 20.0;
constexpr double unstirred = 0.6;             // of the coefficient at a difference of one volume
constexpr double stirred_by_bubbles = 4.0;    // times the still coefficient, at one volume an hour
constexpr double nuclei_at_vol_per_h = 0.02;  // evolution at which half the places for bubbles are awake
constexpr double foaming_per_h = 6.0;

constexpr int halvings = 50;

}  // namespace

double SaltingOut::factor(const Liquid& liquid, double celsius) const {
    if (fixed_factor > 0) return fixed_factor;
    const double driven_out =
        per_percent_alcohol * liquid.alcohol_by_volume + per_g_extract * liquid.extract_g_per_l;
    return std::exp(-strength * driven_out + tilt_per_k * (std::min(celsius, 40.0) - tilt_turns_at_c));
}

SaltingOut draw_salting_out(Random& random) {
    return {random.triangular(-0.2, 0.4, 1.2), random.triangular(-0.001, 0, 0.001), 0};
}
Transfer draw_transfer(Random& random) {
    return {random.lognormal(0.018, 0.45), random.lognormal(6.0, 0.4), random.triangular(1.2, 1.35, 1.6)};
}
Valves draw_valves(Random& random) {
    Valves v;
    v.relief_opens = random.triangular(0.97, 1.0, 1.03);
    v.relief_reseats = v.relief_opens - random.triangular(0.04, 0.08, 0.15);
    v.spunding_play_kpa = random.triangular(2, 3, 6);
    return v;
}

GasSpace::GasSpace(const Shape& shape, const Start& start) : shape_{shape} {
    set_temperature(start.celsius, start.liquid);
    dissolved_mol_ = start.co2_volumes * shape_.beer_l / volume_l_per_mol;
    const double fugacity = dissolved_mol_ / henry_mol_per_kpa_;
    double high = 2.0 * fugacity / kpa_per_mol();
    double low = 0;
    for (int i = 0; i < halvings; ++i) {
        const double middle = (low + high) / 2.0;
        (co2_fugacity_kpa(middle / shape_.head_l, celsius_) < fugacity ? low : high) = middle;
    }
    head_co2_mol_ = low;
    update_pressure();
    kla_per_h_ = shape_.transfer.still_per_h;
    if (pressure_kpa_ >= start.ambient_kpa) return;
    if (start.purged)
        head_co2_mol_ = co2_mol_per_l(start.ambient_kpa - steam_kpa_, celsius_) * shape_.head_l;
    else
        head_air_mol_ = (start.ambient_kpa - pressure_kpa_) / kpa_per_mol();
    update_pressure();
}

void GasSpace::set_temperature(double celsius, const Liquid& liquid) {
    celsius_ = celsius;
    steam_kpa_ = steam_pressure_kpa(celsius);
    factor_ = shape_.salting_out.factor(liquid, celsius);
    henry_mol_per_kpa_ = shape_.beer_l * factor_ * solubility_mol_per_l_kpa(celsius);
}

void GasSpace::set_volumes(double beer_l, double head_l) {
    const double before_kpa = pressure_kpa_;
    henry_mol_per_kpa_ *= beer_l / shape_.beer_l;
    shape_.beer_l = beer_l;
    shape_.head_l = head_l;
    update_pressure();
    pass_towards(before_kpa, open_lid_conductance, 1.0);
}

double GasSpace::kpa_per_mol() const {
    return base::gas_constant * base::kelvin(celsius_) / shape_.head_l;
}

/// Dalton's law: CO2 as a real gas, air and steam as ideal ones.
void GasSpace::update_pressure() {
    pressure_kpa_ = co2_pressure_kpa(head_co2_mol_ / shape_.head_l, celsius_) +
                    head_air_mol_ * kpa_per_mol() + steam_kpa_;
}

double GasSpace::co2_fraction() const {
    const double dry = head_co2_mol_ + head_air_mol_;
    return dry > 0 ? head_co2_mol_ / dry : 0;
}

double GasSpace::saturation_mol() const {
    return henry_mol_per_kpa_ * co2_fugacity_kpa(head_co2_mol_ / shape_.head_l, celsius_);
}

double GasSpace::dissolved_volumes() const {
    return dissolved_mol_ / shape_.beer_l * volume_l_per_mol;
}
double GasSpace::equilibrium_volumes() const {
    return saturation_mol() / shape_.beer_l * volume_l_per_mol;
}

/// As if the air above were CO2 as well: near enough, for bubbles only ask for the whole pressure.
double GasSpace::bubble_point_mol() const {
    return henry_mol_per_kpa_ * co2_fugacity_kpa((head_co2_mol_ + head_air_mol_) / shape_.head_l, celsius_);
}

double GasSpace::settled_kpa(double celsius, const Liquid& liquid, double more_mol) const {
    GasSpace other = *this;
    other.set_temperature(celsius, liquid);
    const double all = dissolved_mol_ + head_co2_mol_ + more_mol;
    double low = 0;
    double high = all;
    for (int i = 0; i < halvings; ++i) {
        other.head_co2_mol_ = (low + high) / 2.0;
        (other.saturation_mol() + other.head_co2_mol_ < all ? low : high) = other.head_co2_mol_;
    }
    other.update_pressure();
    return other.pressure_kpa_;
}

/// The beer approaches `saturation`; the exponential keeps a long step from overshooting.
void GasSpace::approach(double saturation, double kla_per_h, double hours) {
    if (kla_per_h <= 0) return;
    const double rate = kla_per_h * (1.0 + henry_mol_per_kpa_ * kpa_per_mol());
    const double moved = (saturation - dissolved_mol_) * kla_per_h * -std::expm1(-rate * hours) / rate;
    const double into_beer = std::clamp(moved, -dissolved_mol_, head_co2_mol_);
    dissolved_mol_ += into_beer;
    head_co2_mol_ -= into_beer;
    update_pressure();
}

/// Through the surface always; by bubbles when there is more than the pressure holds: those the yeast starts,
/// the more the further above, and foam once the beer loses patience.
void GasSpace::exchange(double hours, double produced_mol) {
    const Transfer& t = shape_.transfer;
    dissolved_mol_ += produced_mol;
    const double vol_per_mol = volume_l_per_mol / shape_.beer_l;
    const double made_vol_per_h = produced_mol / hours * vol_per_mol;
    const double saturation = saturation_mol();
    const double short_of = std::max(0.0, saturation - dissolved_mol_) * vol_per_mol;
    kla_per_h_ = t.still_per_h *
                 std::sqrt(diffusivity_m2_per_s(celsius_) / diffusivity_m2_per_s(reference_c)) *
                 (unstirred + (1.0 - unstirred) * std::sqrt(std::sqrt(short_of)) +
                  stirred_by_bubbles * std::sqrt(made_vol_per_h));
    approach(saturation, kla_per_h_, hours);

    const double bubble_point = bubble_point_mol();
    const double above = (dissolved_mol_ - bubble_point) * vol_per_mol;
    if (above <= 0) return;
    const double awake = made_vol_per_h / (made_vol_per_h + nuclei_at_vol_per_h);
    const double excess = dissolved_mol_ / std::max(bubble_point, 1e-9);
    const double by_bubbles =
        t.nucleation * above * awake + foaming_per_h * std::max(0.0, excess - t.patience);
    approach(bubble_point, by_bubbles, hours);
    kla_per_h_ += by_bubbles;
}

/// Gas passes an opening towards `target_kpa`: out as it is mixed, in as air.
void GasSpace::pass_towards(double target_kpa, double conductance, double hours) {
    const double k = kpa_per_mol();
    const double out = (pressure_kpa_ - target_kpa) / k * -std::expm1(-conductance * k * hours);
    if (out < 0) {
        head_air_mol_ -= out;
        air_in_mol_ -= out;
    } else {
        const double fraction = co2_fraction();
        const double co2 = std::min(head_co2_mol_, out * fraction);
        const double air = std::min(head_air_mol_, out * (1.0 - fraction));
        head_co2_mol_ -= co2;
        lost_mol_ += co2;
        head_air_mol_ -= air;
        air_out_mol_ += air;
    }
    update_pressure();
}

void GasSpace::vent(double hours, const Ways& ways) {
    using base::HeadSpace;
    if (ways.lid_open) pass_towards(ways.ambient_kpa, open_lid_conductance, hours);
    if (ways.vent_blocked) return;
    if (ways.mode == HeadSpace::vented) pass_towards(ways.ambient_kpa, vent_conductance, hours);
    if (ways.mode != HeadSpace::spunded) {
        spunding_open_ = false;
        return;
    }
    const double half_play = shape_.valves.spunding_play_kpa / 2.0;
    const double closes = std::max(ways.ambient_kpa, ways.set_kpa - half_play);
    if (pressure_kpa_ > ways.set_kpa + half_play) spunding_open_ = true;
    if (pressure_kpa_ < closes + 0.1) spunding_open_ = false;
    if (spunding_open_ && pressure_kpa_ > closes) pass_towards(closes, spunding_conductance, hours);
}

/// Opens at its pressure and blows to the outside until its reseating pressure; lets nothing in.
void GasSpace::relieve(double hours, const Ways& ways) {
    const double setting = ways.relief_kpa - ways.ambient_kpa;
    const double gauge = pressure_kpa_ - ways.ambient_kpa;
    const double reseats = shape_.valves.relief_reseats * setting;
    if (gauge > shape_.valves.relief_opens * setting) relief_open_ = true;
    if (!relief_open_) return;
    const double until_shut_h =
        std::log(std::max(1.0, gauge / reseats)) / (relief_conductance * kpa_per_mol());
    pass_towards(ways.ambient_kpa, relief_conductance, std::min(hours, until_shut_h));
    relief_open_ = until_shut_h > hours;
}

void GasSpace::supply(double hours, const Ways& ways) {
    if (ways.mode != base::HeadSpace::supplied || ways.supply_shut || pressure_kpa_ >= ways.set_kpa) return;
    const double k = kpa_per_mol();
    const double wanted =
        (ways.set_kpa - pressure_kpa_) / k * -std::expm1(-regulator_conductance * k * hours);
    const double given = std::min(wanted, regulator_mol_per_h * hours);
    head_co2_mol_ += given;
    supplied_mol_ += given;
    update_pressure();
}

void GasSpace::step(double hours, double celsius, double produced_mol, const Liquid& liquid,
                    const Ways& ways) {
    set_temperature(celsius, liquid);
    update_pressure();
    exchange(hours, produced_mol);
    supply(hours, ways);
    vent(hours, ways);
    if (ways.leak > 0) pass_towards(ways.ambient_kpa, ways.leak, hours);
    relieve(hours, ways);
}

}  // namespace gyled::virtual_vessel
