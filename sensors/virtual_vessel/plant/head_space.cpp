#include "sensors/virtual_vessel/plant/head_space.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/brewing/carbon_dioxide.hpp"
#include "daemon/brewing/solubility.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr double vent_conductance = 0.5;  // a blow-off hose
constexpr double open_lid_conductance = 500;
constexpr double spunding_conductance = 0.2;
constexpr double spunding_hysteresis_kpa = 3.0;
constexpr double relief_conductance =
    0.3;  // hundred times what a fermentation makes, at 10 % above its setting
constexpr double relief_closes_at = 0.93;  // of its gauge setting
constexpr double regulator_conductance = 0.5;
constexpr double regulator_mol_per_h = 6.0;  // some 140 L/h through a thin hose
constexpr double bubbling = 4.0;             // kLa gained, per vol/h of gas that leaves in bubbles
constexpr double patience = 1.35;            // beer holds this many times its saturation before it foams
constexpr double foaming_per_h = 6.0;

}  // namespace

GasSpace::GasSpace(const Shape& shape, double celsius, double ambient_kpa, double co2_volumes, bool purged)
    : shape_{shape} {
    set_temperature(celsius);
    dissolved_mol_ = co2_volumes * shape_.beer_l / brewing::normal_molar_volume;
    pressure_kpa_ = ambient_kpa;
    // Head space of CO2: the pressure that holds what is dissolved, or ambient where that is higher. Three
    // rounds settle the fugacity.
    double co2_kpa = 0;
    for (int round = 0; round < 8; ++round) {
        const double fugacity = shape_.real_gas ? std::exp(virial_per_kpa_ * pressure_kpa_) : 1.0;
        co2_kpa = dissolved_mol_ / (henry_mol_per_kpa_ * fugacity);
        pressure_kpa_ = std::max(purged ? ambient_kpa : 0.0, co2_kpa + vapour_kpa_);
        if (!purged) pressure_kpa_ = std::max(ambient_kpa, pressure_kpa_);
    }
    if (purged) co2_kpa = pressure_kpa_ - vapour_kpa_;
    const double z = shape_.real_gas ? 1.0 + virial_per_kpa_ * pressure_kpa_ : 1.0;
    const double rt_per_l = base::gas_constant * base::kelvin(celsius_) / shape_.head_l;
    head_co2_mol_ = co2_kpa / (z * rt_per_l);
    head_air_mol_ = std::max(0.0, (pressure_kpa_ - vapour_kpa_ - co2_kpa) / rt_per_l);
    kla_per_h_ = shape_.still_kla_per_h;
    update_pressure();
}

void GasSpace::set_temperature(double celsius) {
    celsius_ = celsius;
    vapour_kpa_ = brewing::vapour_pressure(celsius).kpa_absolute();
    // The virial series leaves its range above 47 degC, where the vessel is open and the correction small
    // anyway.
    virial_per_kpa_ = shape_.real_gas ? brewing::virial_term(std::min(celsius, 47.0),
                                                             base::Pressure::from_kpa_absolute(1.0))
                                      : 0.0;
    henry_mol_per_kpa_ =
        shape_.beer_l * shape_.solubility_factor * brewing::k0_mol_per_litre_atm(celsius) / 101.325;
}

void GasSpace::set_volumes(double beer_l, double head_l) {
    shape_.beer_l = beer_l;
    shape_.head_l = head_l;
    const double before_kpa = pressure_kpa_;
    set_temperature(celsius_);
    update_pressure();
    pass_towards(before_kpa, 1e6, 1.0);
}

double GasSpace::kpa_per_mol() const {
    return base::gas_constant * base::kelvin(celsius_) / shape_.head_l;
}

/// p = (n_co2 (1 + b p) + n_air) RT/V + p_water, solved for p.
void GasSpace::update_pressure() {
    const double k = kpa_per_mol();
    pressure_kpa_ =
        (k * (head_co2_mol_ + head_air_mol_) + vapour_kpa_) / (1.0 - k * head_co2_mol_ * virial_per_kpa_);
}

double GasSpace::co2_fraction() const {
    const double dry = head_co2_mol_ + head_air_mol_;
    return dry > 0 ? head_co2_mol_ / dry : 0;
}

double GasSpace::saturation_mol() const {
    const double co2_kpa = std::max(0.0, pressure_kpa_ - vapour_kpa_) * co2_fraction();
    return henry_mol_per_kpa_ * co2_kpa * std::exp(virial_per_kpa_ * pressure_kpa_);
}

double GasSpace::dissolved_volumes() const {
    return dissolved_mol_ / shape_.beer_l * brewing::normal_molar_volume;
}
double GasSpace::equilibrium_volumes() const {
    return saturation_mol() / shape_.beer_l * brewing::normal_molar_volume;
}

/// What pure CO2 of the head pressure would keep dissolved: above it, bubbles can grow.
double GasSpace::bubble_point_mol() const {
    return henry_mol_per_kpa_ * std::max(0.0, pressure_kpa_ - vapour_kpa_) *
           std::exp(virial_per_kpa_ * pressure_kpa_);
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
/// and foam once the beer loses patience.
void GasSpace::exchange(double hours, double produced_mol) {
    dissolved_mol_ += produced_mol;
    approach(saturation_mol(), shape_.still_kla_per_h, hours);
    kla_per_h_ = shape_.still_kla_per_h;

    const double bubble_point = bubble_point_mol();
    if (dissolved_mol_ <= bubble_point) return;
    const double made_vol_per_h = produced_mol / hours / shape_.beer_l * brewing::normal_molar_volume;
    const double excess = dissolved_mol_ / std::max(bubble_point, 1e-9);
    const double by_bubbles = bubbling * made_vol_per_h + foaming_per_h * std::max(0.0, excess - patience);
    approach(bubble_point, by_bubbles, hours);
    kla_per_h_ += by_bubbles;
}

/// Gas passes an opening towards `target_kpa`: out as it is mixed, in as air.
void GasSpace::pass_towards(double target_kpa, double conductance, double hours) {
    const double k = kpa_per_mol();
    const double out = (pressure_kpa_ - target_kpa) / k * -std::expm1(-conductance * k * hours);
    if (out < 0) {
        head_air_mol_ -= out;
    } else {
        const double fraction = co2_fraction();
        const double co2 = std::min(head_co2_mol_, out * fraction);
        head_co2_mol_ -= co2;
        lost_mol_ += co2;
        head_air_mol_ = std::max(0.0, head_air_mol_ - out * (1.0 - fraction));
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
    const double closes = std::max(ways.ambient_kpa, ways.set_kpa - spunding_hysteresis_kpa / 2);
    if (pressure_kpa_ > ways.set_kpa + spunding_hysteresis_kpa / 2) spunding_open_ = true;
    if (pressure_kpa_ < closes + 0.1) spunding_open_ = false;
    if (spunding_open_) pass_towards(closes, spunding_conductance, hours);
}

void GasSpace::relieve(double hours, const Ways& ways) {
    const double closes = ways.ambient_kpa + relief_closes_at * (ways.relief_kpa - ways.ambient_kpa);
    if (pressure_kpa_ > ways.relief_kpa) relief_open_ = true;
    if (pressure_kpa_ < closes + 0.5) relief_open_ = false;
    if (relief_open_) pass_towards(closes, relief_conductance, hours);
}

void GasSpace::supply(double hours, const Ways& ways) {
    if (ways.mode != base::HeadSpace::supplied || ways.supply_shut || pressure_kpa_ >= ways.set_kpa)
        return;
    const double k = kpa_per_mol();
    const double wanted =
        (ways.set_kpa - pressure_kpa_) / k * -std::expm1(-regulator_conductance * k * hours);
    const double given = std::min(wanted, regulator_mol_per_h * hours);
    head_co2_mol_ += given;
    supplied_mol_ += given;
    update_pressure();
}

void GasSpace::step(double hours, double celsius, double produced_mol, const Ways& ways) {
    set_temperature(celsius);
    update_pressure();
    exchange(hours, produced_mol);
    supply(hours, ways);
    vent(hours, ways);
    if (ways.leak > 0) pass_towards(ways.ambient_kpa, ways.leak, hours);
    relieve(hours, ways);
}

}  // namespace gyled::virtual_vessel
