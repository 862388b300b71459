#include <array>

#include "tests/simulation/pressure/truth/draw.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

// What can hurt: each world has one thing that must be told.
namespace gyled::pressure_worlds {
namespace {

When once_lifted(double hours) {
    return [=](const Moment& now) { return now.since_lift_h >= hours; };
}

Script closed_with_sugar(std::uint64_t seed) {
    constexpr std::uint64_t stream = 21;
    Script script = pitched("closed with too much sugar", seed, stream);
    Random random = choices(seed, stream);
    script.acts.push_back(
        told_to("shut", once_left(random.between(4, 12)), {StageKind::ferment, HeadSpace::sealed, {}}));
    script.acts.push_back(
        the_end([](const Moment& now) { return now.since_lift_h >= 6 || now.still_h >= 48; }));
    return script;
}

/// Shut with so much left that a gravity point decides whether the valve lifts.
Script closed_at_the_edge(std::uint64_t seed) {
    constexpr std::uint64_t stream = 26;
    Script script = pitched("closed at the edge", seed, stream);
    Random random = choices(seed, stream);
    script.acts.push_back(
        told_to("shut", once_left(random.between(1.5, 4.5)), {StageKind::ferment, HeadSpace::sealed, {}}));
    script.acts.push_back(
        the_end([](const Moment& now) { return now.since_lift_h >= 2 || now.still_h >= 48; }));
    return script;
}

/// Hop debris or foam in the blow-off while the ferment is at its height.
Script blocked_vent(std::uint64_t seed) {
    constexpr std::uint64_t stream = 22;
    Script script = pitched("vent blocked at high krausen", seed, stream);
    Random random = choices(seed, stream);
    script.acts.push_back(
        {"blocked", once_done(random.between(0.15, 0.5)), [](Hands& hands) { hands.vent_blocked = true; }});
    script.acts.push_back(the_end(once_lifted(8)));
    return script;
}

/// A lid's seal gives in on carbonated beer: 0.06 to 0.4 mmol an hour for each kPa.
Script leak(std::uint64_t seed) {
    constexpr std::uint64_t stream = 23;
    Random random = choices(seed, stream);
    Script script = finished("leak", seed, stream, random.between(2.1, 2.8));
    script.air_above = false;
    script.first = {StageKind::condition, HeadSpace::sealed, {}};
    script.hands.mode = HeadSpace::sealed;
    const double conductance = random.between(0.06, 0.4);
    script.acts.push_back({"leak", after(random.between(48, 96)),
                           [=](Hands& hands) { hands.leak_mmol_per_h_kpa = conductance; }});
    script.acts.push_back(the_end(after(48)));
    return script;
}

/// Hot wort, the lid and valves shut, then chilled; every other brewer says that it is shut.
Script steam_collapse(std::uint64_t seed) {
    constexpr std::uint64_t stream = 24;
    Script script = boiled("steam collapse", seed, stream);
    Random random = choices(seed, stream);
    script.step = std::chrono::seconds{5};
    script.look_every = std::chrono::hours{1};
    for (Probe& each : script.probes)
        if (each.quantity != Quantity::gravity) each.cadence_s = 10;
    const bool tells = seed % 2 == 1;
    script.variant = tells ? "told" : "not told";
    const HeadSpace word = tells ? HeadSpace::sealed : HeadSpace::vented;
    Act shut = told_to("shut hot", after(random.between(0.3, 0.8)), {StageKind::chill, word, {}});
    shut.deed = [](Hands& hands) {
        hands.lid_open = false;
        hands.mode = HeadSpace::sealed;
    };
    script.acts.push_back(shut);
    const double ramp = random.between(30, 120);
    script.acts.push_back({"chilled", after(random.between(0.05, 0.3)), [=](Hands& hands) {
                               hands.set_c = 20;
                               hands.ramp_c_per_h = ramp;
                           }});
    script.acts.push_back(the_end(after(1)));
    return script;
}

/// Carbonated beer that nobody registered; its transducer dies.
Script nobodys_beer(std::uint64_t seed) {
    constexpr std::uint64_t stream = 25;
    Random random = choices(seed, stream);
    Script script = finished("no batch", seed, stream, random.between(2.1, 2.8));
    script.air_above = false;
    script.has_batch = false;
    script.hands.mode = HeadSpace::sealed;
    script.acts.push_back({"transducer dies", after(random.between(6, 30)),
                           [](Hands& hands) { hands.pressure_sensor_dead = true; }});
    script.acts.push_back(the_end(after(3)));
    return script;
}

constexpr std::array worlds{
    Kind{"closed-with-sugar", closed_with_sugar}, Kind{"closed-at-the-edge", closed_at_the_edge},
    Kind{"blocked-vent", blocked_vent},           Kind{"leak", leak},
    Kind{"steam-collapse", steam_collapse},       Kind{"no-batch", nobodys_beer}};

}  // namespace

std::span<const Kind> troubled_kinds() {
    return worlds;
}

}  // namespace gyled::pressure_worlds
