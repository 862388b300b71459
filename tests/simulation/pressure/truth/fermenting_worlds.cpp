#include <array>

#include "sensors/virtual_vessel/plant/steam.hpp"
#include "tests/simulation/pressure/truth/draw.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

// A ferment under a vent, a spunding valve or a shut lid, to its end and through the crash.
namespace gyled::pressure_worlds {

Script vented_to_the_end(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    Script script = pitched(kind, seed, stream);
    Random random = choices(seed, stream);
    const double cold_c = random.between(2, 5);
    const bool air_is_kept = seed % 2 == 1;
    script.target_volumes = random.between(2.2, 2.6);
    const double air_kpa = virtual_vessel::air_pressure_kpa(script.elevation_m);
    const double set_kpa = charted_kpa(*script.target_volumes + random.between(0.1, 0.4), cold_c, air_kpa);
    script.acts.push_back(cooled(once_still(random.between(24, 60)), cold_c, random.between(0.4, 1.5),
                                 {StageKind::crash, HeadSpace::vented, {}}));
    put_gas_on(script, after(random.between(30, 60)), {StageKind::carbonate, HeadSpace::supplied, set_kpa},
               air_is_kept);
    script.acts.push_back(the_end(after(8 * 24)));
    return script;
}

namespace {

constexpr double cold_days_h = 72;

Script vented(std::uint64_t seed) {
    return vented_to_the_end("vented, crash, supply", seed, 1);
}

Script spunded(std::uint64_t seed) {
    constexpr std::uint64_t stream = 2;
    Script script = pitched("spunded", seed, stream);
    Random random = choices(seed, stream);
    const double set_kpa = random.between(50, 110);
    script.acts.push_back(told_to("spunded", once_done(random.between(0.3, 0.7)),
                                  {StageKind::ferment, HeadSpace::spunded, set_kpa}));
    const HeadSpace mode = seed % 2 == 1 ? HeadSpace::spunded : HeadSpace::sealed;
    const std::optional<double> kept = seed % 2 == 1 ? std::optional{set_kpa} : std::nullopt;
    script.acts.push_back(cooled(once_still(random.between(36, 72)), random.between(2, 5),
                                 random.between(0.4, 1.5), {StageKind::crash, mode, kept}));
    script.acts.push_back(the_end(after(cold_days_h)));
    return script;
}

/// Shut with so much left that the beer carbonates itself below what the relief valve is set to.
Script sealed_with(std::string_view kind, std::uint64_t seed, std::uint64_t stream) {
    Script script = pitched(kind, seed, stream);
    Random random = choices(seed, stream);
    script.relief_kpa = 250;
    script.working_kpa = 350;
    script.acts.push_back(
        told_to("shut", once_left(random.between(0.8, 3.0)), {StageKind::ferment, HeadSpace::sealed, {}}));
    return script;
}

Script sealed(std::uint64_t seed) {
    Script script = sealed_with("sealed", seed, 3);
    Random random = choices(seed, 103);
    script.acts.push_back(cooled(once_still(random.between(48, 84)), random.between(2, 5),
                                 random.between(0.4, 1.5), {StageKind::crash, HeadSpace::sealed, {}}));
    script.acts.push_back(the_end(after(cold_days_h)));
    return script;
}

Script without_a_float(std::uint64_t seed) {
    Script script = sealed_with("no float", seed, 4);
    leave_out(script, Quantity::gravity);
    const bool reads = seed % 2 == 1;
    script.acts.back().hydrometer = reads;
    script.variant = reads ? "hydrometer at the shutting" : "nothing but the plan";
    script.acts.push_back(the_end(once_still(72)));
    return script;
}

constexpr std::array worlds{Kind{"vented", vented}, Kind{"spunded", spunded}, Kind{"sealed", sealed},
                            Kind{"no-float", without_a_float}};

}  // namespace

std::span<const Kind> fermenting_kinds() {
    return worlds;
}

}  // namespace gyled::pressure_worlds
