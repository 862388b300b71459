#include <array>

#include "sensors/virtual_vessel/plant/steam.hpp"
#include "tests/simulation/pressure/truth/draw.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

// Finished beer, cold, under a regulator.
namespace gyled::pressure_worlds {

Script under_gas(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    constexpr double waits_h = 12;
    Random random = choices(seed, stream);
    Script script = finished(kind, seed, stream, random.between(0.75, 1.1));
    script.target_volumes = random.between(2.2, 2.7);
    const double air_kpa = virtual_vessel::air_pressure_kpa(script.elevation_m);
    const double set_kpa =
        charted_kpa(*script.target_volumes + random.between(0.05, 0.4), script.start_c, air_kpa);
    put_gas_on(script, after(waits_h), {StageKind::carbonate, HeadSpace::supplied, set_kpa}, seed % 2 == 1);
    return script;
}

namespace {

Script supplied(std::uint64_t seed) {
    Script script = under_gas("supplied", seed, 11);
    script.acts.push_back(the_end(after(10 * 24)));
    return script;
}

/// The gas is shut off for a day or two; every other brewer says so.
Script shut_in(std::uint64_t seed) {
    constexpr std::uint64_t stream = 12;
    Script script = under_gas("supplied, then shut in", seed, stream);
    Random random = choices(seed, stream + 100);
    const When when = after(random.between(48, 140));
    const bool tells = seed % 4 < 2;
    if (tells)
        script.acts.push_back(told_to("gas shut", when, {StageKind::condition, HeadSpace::sealed, {}}));
    else
        script.acts.push_back({"gas shut", when, [](Hands& hands) { hands.supply_shut = true; }});
    script.acts.push_back(the_end(after(48)));
    return script;
}

constexpr std::array worlds{Kind{"supplied", supplied}, Kind{"shut-in", shut_in}};

}  // namespace

std::span<const Kind> supplied_kinds() {
    return worlds;
}

}  // namespace gyled::pressure_worlds
