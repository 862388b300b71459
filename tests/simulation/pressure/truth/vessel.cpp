#include "tests/simulation/pressure/truth/vessel.hpp"

#include <algorithm>
#include <cmath>

#include "sensors/virtual_vessel/plant/carbon_dioxide.hpp"
#include "sensors/virtual_vessel/plant/steam.hpp"

namespace gyled::pressure_worlds {
namespace {

using virtual_vessel::Fermentation;
using virtual_vessel::GasSpace;
using virtual_vessel::Liquid;

constexpr double point_sg = 0.001;

Fermentation beer_of(const Script& script) {
    Fermentation beer{script.yeast, script.original_gravity};
    if (script.fermented_already) beer.finish_at_once();
    return beer;
}

double end_of(Fermentation beer) {
    beer.finish_at_once();
    return beer.beer().sg;
}

Liquid liquid_of(const Fermentation& beer) {
    const auto now = beer.beer();
    return {now.alcohol_by_volume, now.extract_g_per_l};
}

GasSpace::Shape shape_of(const Script& script) {
    GasSpace::Shape shape;
    shape.beer_l = script.beer_l * script.beer_scale;
    shape.head_l = (script.vessel_l - script.beer_l) * script.head_scale;
    shape.salting_out = script.salting_out;
    shape.transfer = script.transfer;
    shape.valves = script.valves;
    return shape;
}

}  // namespace

Vessel::Vessel(const Script& script)
    : script_{script},
      climate_{script.climate, script.start_c},
      beer_l_{script.beer_l * script.beer_scale},
      beer_{beer_of(script)},
      terminal_sg_{end_of(beer_)},
      gas_{shape_of(script),
           {.celsius = climate_.beer_c(),
            .ambient_kpa = virtual_vessel::air_pressure_kpa(script.elevation_m) + climate_.weather_kpa(),
            .co2_volumes = script.start_co2_volumes,
            .purged = !script.air_above,
            .liquid = liquid_of(beer_)}},
      ambient_kpa_{virtual_vessel::air_pressure_kpa(script.elevation_m) + climate_.weather_kpa()} {}

Liquid Vessel::liquid() const {
    return liquid_of(beer_);
}

virtual_vessel::Ways Vessel::ways(const Hands& hands) const {
    virtual_vessel::Ways ways;
    ways.mode = hands.mode;
    ways.ambient_kpa = ambient_kpa_;
    ways.set_kpa = ambient_kpa_ + hands.set_kpa;
    constexpr double no_valve_kpa = 1e6;
    ways.relief_kpa = ambient_kpa_ + script_.relief_kpa.value_or(no_valve_kpa);
    ways.leak = hands.leak_mmol_per_h_kpa / 1000.0;
    ways.vent_blocked = hands.vent_blocked;
    ways.supply_shut = hands.supply_shut;
    ways.lid_open = hands.lid_open;
    return ways;
}

void Vessel::step(double hours, const Hands& hands) {
    climate_.step(hours, hands.set_c, hands.ramp_c_per_h);
    ambient_kpa_ = virtual_vessel::air_pressure_kpa(script_.elevation_m) + climate_.weather_kpa();
    double made_mol = 0;
    if (hands.yeast_is_in && !script_.fermented_already) {
        beer_.step(hours, climate_.beer_c());
        made_mol = beer_.co2_g_per_l_h() * hours * beer_l_ / virtual_vessel::co2_g_per_mol;
    }
    produced_mol_ += made_mol;
    gas_.step(hours, climate_.beer_c(), made_mol, liquid(), ways(hands));
}

double Vessel::points_left() const {
    return (beer_.beer().sg - terminal_sg_) / point_sg;
}

Truth Vessel::truth() const {
    Truth truth;
    truth.sg = beer_.beer().sg;
    truth.terminal_sg = terminal_sg_;
    const double og_plato = virtual_vessel::wort_plato(script_.original_gravity);
    truth.attenuation = 100 * (og_plato - virtual_vessel::wort_plato(truth.sg)) / og_plato;
    truth.co2_volumes = gas_.dissolved_volumes();
    truth.equilibrium_volumes = gas_.equilibrium_volumes();
    truth.gauge_kpa = gas_.pressure_kpa() - ambient_kpa_;
    truth.ambient_kpa = ambient_kpa_;
    truth.beer_c = climate_.beer_c();
    truth.air_percent = 100 * (1 - gas_.co2_fraction());
    truth.relief_open = gas_.relief_open();
    return truth;
}

Outlook Vessel::outlook() const {
    const double to_come_mol = beer_.co2_to_come_g_per_l() * beer_l_ / virtual_vessel::co2_g_per_mol;
    Fermentation fermented = beer_;
    fermented.finish_at_once();
    const Liquid then = liquid_of(fermented);
    return {.closed_kpa = gas_.settled_kpa(climate_.beer_c(), then, to_come_mol) - ambient_kpa_,
            .warm_kpa = gas_.settled_kpa(warmest_c, then, to_come_mol) - ambient_kpa_,
            .crash_kpa = gas_.settled_kpa(coldest_c, liquid()) - ambient_kpa_};
}

}  // namespace gyled::pressure_worlds
