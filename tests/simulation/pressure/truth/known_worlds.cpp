#include <array>

#include "tests/simulation/pressure/truth/draw.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

// A vessel that has carbonated before: how fast beer takes up gas in it was learnt then.
namespace gyled::pressure_worlds {
namespace {

/// What belongs to the vessel, not to what is in it. The surface stays, however full it is; batches differ by
/// a tenth all the same (warmth, gums, where the beer stands in the cone; assumed).
void put_into_the_vessel_of(Script& script, const Script& other, Random& random) {
    constexpr double batches_differ = 0.1;
    script.elevation_m = other.elevation_m;
    script.relief_kpa = other.relief_kpa;
    script.working_kpa = other.working_kpa;
    script.valves = other.valves;
    script.probes = other.probes;
    script.transfer.still_per_h = other.transfer.still_per_h * other.beer_l * other.beer_scale /
                                  (script.beer_l * script.beer_scale) * random.lognormal(1, batches_differ);
}

/// Other beer before, two to six days on gas and then shut for two.
Script after_another(Script script, std::uint64_t seed, std::uint64_t stream) {
    Random random = choices(seed, stream);
    Script earlier = under_gas("carbonated before", seed, stream);
    put_into_the_vessel_of(earlier, script, random);
    leave_out(earlier, Quantity::gravity);
    earlier.acts.push_back(
        told_to("gas shut", after(random.between(48, 140)), {StageKind::condition, HeadSpace::sealed, {}}));
    earlier.acts.push_back(the_end(after(48)));
    script.earlier = std::make_shared<const Script>(std::move(earlier));
    script.begins = std::chrono::hours{24 * 20};
    script.variant += ", kLa learnt";
    return script;
}

Script supplied(std::uint64_t seed) {
    Script script = after_another(under_gas("supplied, again", seed, 13), seed, 213);
    script.acts.push_back(the_end(after(10 * 24)));
    return script;
}

Script vented(std::uint64_t seed) {
    return after_another(vented_to_the_end("vented, crash, supply, again", seed, 14), seed, 214);
}

constexpr std::array worlds{Kind{"supplied-again", supplied}, Kind{"vented-again", vented}};

}  // namespace

std::span<const Kind> known_kinds() {
    return worlds;
}

}  // namespace gyled::pressure_worlds
