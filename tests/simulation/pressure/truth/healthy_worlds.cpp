#include <array>

#include "sensors/virtual_vessel/plant/steam.hpp"
#include "tests/simulation/pressure/truth/draw.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

// Nothing is wrong in these, and nothing may be said to be.
namespace gyled::pressure_worlds {
namespace {

/// Some five days of one of: a vented ferment, one under a spunding valve, finished beer shut in, under gas
/// with its purges, and a brew day that is chilled under an open lid and pitched.
Script healthy(std::uint64_t seed) {
    constexpr std::uint64_t stream = 31;
    constexpr double short_h = 5 * 24;
    Random random = choices(seed, stream);
    switch (seed % 5) {
        case 0: {
            Script script = pitched("healthy", seed, stream);
            script.longest_h = short_h;
            return script;
        }
        case 1: {
            Script script = pitched("healthy", seed, stream);
            script.acts.push_back(told_to("spunded", once_done(random.between(0.3, 0.7)),
                                          {StageKind::ferment, HeadSpace::spunded, random.between(50, 110)}));
            script.longest_h = short_h;
            return script;
        }
        case 2: {
            Script script = finished("healthy", seed, stream, random.between(2.0, 2.8));
            script.air_above = false;
            script.first = {StageKind::condition, HeadSpace::sealed, {}};
            script.hands.mode = HeadSpace::sealed;
            script.longest_h = short_h;
            return script;
        }
        case 3: {
            Script script = finished("healthy", seed, stream, random.between(0.75, 1.1));
            const double air_kpa = virtual_vessel::air_pressure_kpa(script.elevation_m);
            const double set_kpa = charted_kpa(random.between(2.2, 2.8), script.start_c, air_kpa);
            put_gas_on(script, after(6), {StageKind::carbonate, HeadSpace::supplied, set_kpa},
                       random.happens(0.5));
            script.longest_h = short_h;
            return script;
        }
        default: {
            Script script = boiled("healthy", seed, stream);
            const double pitch_c = random.between(17, 21);
            script.acts.push_back(cooled(after(1), pitch_c, random.between(40, 120),
                                         {StageKind::chill, HeadSpace::vented, {}}));
            Act pitch = told_to("pitched", after(3), {StageKind::ferment, HeadSpace::vented, {}});
            pitch.deed = [](Hands& hands) {
                hands.lid_open = false;
                hands.yeast_is_in = true;
                hands.ramp_c_per_h = 1;
            };
            script.acts.push_back(pitch);
            script.longest_h = 3 * 24;
            return script;
        }
    }
}

/// Shut when hardly anything is left to ferment; one in five put under a spunding valve in good time.
Script healthy_closing(std::uint64_t seed) {
    constexpr std::uint64_t stream = 32;
    Script script = pitched("healthy closing", seed, stream);
    Random random = choices(seed, stream);
    const double left = random.between(0.05, 1.0);
    if (seed % 5 == 0)
        script.acts.push_back(told_to("spunded", once_left(random.between(4, 10)),
                                      {StageKind::ferment, HeadSpace::spunded, random.between(50, 100)}));
    else
        script.acts.push_back(told_to("shut", once_left(left), {StageKind::ferment, HeadSpace::sealed, {}}));
    script.acts.push_back(the_end(after(36)));
    return script;
}

constexpr std::array worlds{Kind{"healthy", healthy, 10}, Kind{"healthy-closing", healthy_closing, 2.5}};

}  // namespace

std::span<const Kind> healthy_kinds() {
    return worlds;
}

}  // namespace gyled::pressure_worlds
