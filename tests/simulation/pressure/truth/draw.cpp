#include "tests/simulation/pressure/truth/draw.hpp"

#include <algorithm>
#include <cmath>

#include "sensors/virtual_vessel/plant/carbon_dioxide.hpp"
#include "sensors/virtual_vessel/plant/kinetics/family.hpp"
#include "sensors/virtual_vessel/plant/steam.hpp"

namespace gyled::pressure_worlds {
namespace {

using base::Culture;

enum Purpose : std::uint64_t { vessel = 1000, yeast = 2000, instruments = 3000, own_choices = 4000 };

double rounded(double value, double to) {
    return std::round(value / to) * to;
}

/// Which source of the solubility is right, nobody knows: Weiss (Mar. Chem. 2 (1974) 203) stands 4 % above
/// IAPWS near freezing and 1 % at 20 degC. Each world lies somewhere between the two.
virtual_vessel::SaltingOut draw_solubility(Random& random) {
    virtual_vessel::SaltingOut drawn = virtual_vessel::draw_salting_out(random);
    constexpr double weiss_at_15_c = 0.019, weiss_per_k = -0.0017;
    constexpr double of_full_strength = 0.07;  // what a beer of 5 % drives out, see SaltingOut
    const double towards_weiss = random.fraction();
    drawn.strength -= towards_weiss * weiss_at_15_c / of_full_strength;
    drawn.tilt_per_k += towards_weiss * weiss_per_k;
    return drawn;
}

/// What is drawn of every vessel, whatever is in it.
Script drawn(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    Script script;
    script.kind = kind;
    script.number = seed;
    script.seed = seed * 1000 + stream;
    Random random{seed, vessel + stream};
    script.beer_l = rounded(random.between(19.5, 22.5), 0.5);
    script.beer_scale = random.between(0.98, 1.02);
    script.head_scale = random.between(0.95, 1.05);
    script.elevation_m = random.happens(0.5) ? 0 : random.between(100, 900);
    script.original_gravity = rounded(random.between(1.040, 1.062), 0.001);
    script.salting_out = draw_solubility(random);
    script.transfer = virtual_vessel::draw_transfer(random);
    script.valves = virtual_vessel::draw_valves(random);
    script.climate = draw_climate(random);
    script.relief_kpa = rounded(random.between(180, 250), 10);
    script.working_kpa = rounded(*script.relief_kpa + random.between(20, 100), 10);
    script.expected_error_sg = 0.0015 * random.normal();

    Random bench{seed, instruments + stream};
    script.probes = {draw_thermometer(bench), draw_transducer(bench), draw_float(bench)};
    if (bench.happens(0.5)) script.probes.push_back(draw_barometer(bench));
    return script;
}

}  // namespace

Random choices(std::uint64_t seed, std::uint64_t stream) {
    return Random{seed, own_choices + stream};
}

Script pitched(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    Script script = drawn(kind, seed, stream);
    Random random{seed, yeast + stream};
    constexpr double lagers = 0.2;
    script.culture = random.happens(lagers) ? Culture::lager : Culture::ale;
    const auto family = virtual_vessel::all_families[(seed + stream) % virtual_vessel::all_families.size()];
    script.yeast = virtual_vessel::draw_yeast(script.culture, family, random);
    const double warm = script.culture == Culture::ale ? random.between(17, 21) : random.between(10, 13);
    script.hands.set_c = rounded(warm, 0.5);
    script.start_c = script.hands.set_c + random.between(-1, 2);
    return script;
}

Script finished(std::string_view kind, std::uint64_t seed, std::uint64_t stream, double co2_volumes) {
    Script script = drawn(kind, seed, stream);
    Random random{seed, yeast + stream};
    script.yeast = virtual_vessel::draw_yeast(Culture::ale, virtual_vessel::Family::monod, random);
    script.fermented_already = true;
    script.start_co2_volumes = co2_volumes;
    script.hands.set_c = script.start_c = rounded(random.between(1.5, 6), 0.5);
    script.first = {StageKind::crash, HeadSpace::vented, {}};
    leave_out(script, Quantity::gravity);
    return script;
}

Script boiled(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    Script script = pitched(kind, seed, stream);
    script.hands.yeast_is_in = false;
    script.hands.lid_open = true;
    script.hands.set_c = script.start_c = 98;
    script.climate.cycle_c = 0.1;
    script.climate.room_day_c = 0;
    script.elevation_m = 0;
    script.start_co2_volumes = 0;
    script.first = {StageKind::boil, HeadSpace::vented, {}};
    return script;
}

Probe& probe(Script& script, Quantity quantity) {
    return *std::ranges::find(script.probes, quantity, &Probe::quantity);
}

void leave_out(Script& script, Quantity quantity) {
    std::erase_if(script.probes, [&](const Probe& p) { return p.quantity == quantity; });
}

When after(double hours) {
    return [=](const Moment& now) { return now.since_last_h >= hours; };
}
When once_still(double hours) {
    return [=](const Moment& now) { return now.still_h >= hours; };
}
When once_done(double share) {
    return [=](const Moment& now) { return now.share_done >= share; };
}
When once_left(double points) {
    return [=](const Moment& now) { return now.hours > 0 && now.points_left <= points; };
}

Act told_to(std::string name, When when, const Told& told) {
    const auto deed = [=](Hands& hands) {
        hands.mode = told.head_space;
        hands.set_kpa = told.set_kpa.value_or(0);
    };
    return {std::move(name), std::move(when), deed, told};
}

Act cooled(When when, double celsius, double ramp_c_per_h, const Told& told) {
    Act act = told_to("cooled", std::move(when), told);
    act.deed = [=, valve = act.deed](Hands& hands) {
        valve(hands);
        hands.set_c = celsius;
        hands.ramp_c_per_h = ramp_c_per_h;
    };
    return act;
}

Act the_end(When when) {
    return {"end", std::move(when), [](Hands& hands) { hands.over = true; }};
}

void put_gas_on(Script& script, When when, const Told& told, bool air_is_kept) {
    constexpr double filling_h = 4.0 / 60, letting_off_h = 3.0 / 60;
    constexpr int cycles = 3;
    script.variant = air_is_kept ? "air kept" : "purged";
    script.acts.push_back(told_to("gas on", std::move(when), told));
    if (air_is_kept) return;
    for (int cycle = 0; cycle < cycles; ++cycle) {
        script.acts.push_back(
            {"let off", after(filling_h), [](Hands& hands) { hands.mode = HeadSpace::vented; }});
        script.acts.push_back(
            {"filled", after(letting_off_h), [](Hands& hands) { hands.mode = HeadSpace::supplied; }});
    }
}

double charted_kpa(double volumes, double celsius, double ambient_kpa) {
    constexpr double beer_over_water = 0.95;
    const double dry_kpa = volumes / (beer_over_water * virtual_vessel::volume_l_per_mol *
                                      virtual_vessel::solubility_mol_per_l_kpa(celsius));
    return dry_kpa + virtual_vessel::steam_pressure_kpa(celsius) - ambient_kpa;
}

}  // namespace gyled::pressure_worlds
