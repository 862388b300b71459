#include "tests/simulation/ferments/truth/worlds.hpp"

#include <array>
#include <cmath>

#include "tests/simulation/ferments/truth/real.hpp"
#include "tests/simulation/ferments/truth/script.hpp"
#include "tests/simulation/ferments/truth/sensors.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::Culture;

constexpr Timestamp first_day{base::Duration{1'772'388'000'000}};  // 2026-03-01T18:00:00Z
constexpr double point = 0.001;                                    // SG
constexpr std::array strengths{36.0, 44.0, 52.0, 64.0, 90.0};      // points
constexpr std::array ale_c{16.0, 18.0, 20.0, 22.0, 24.0};
constexpr std::array lager_c{8.0, 9.5, 11.0, 12.5, 14.0};

using Form = Kinetics (*)(const Pitch&, Random&);
constexpr std::array all_forms{logistic,     five_parameter,   gompertz, activated_biomass,
                               three_sugars, nitrogen_limited, at_once};

double rounded(double value, double to) {
    return std::round(value / to) * to;
}

struct Order {
    std::string_view family;
    std::uint64_t stream = 0;  ///< so that two families are not the same batch
    Form form{};
    Trouble trouble = Trouble::none;
    std::optional<Chill> chill{};  ///< none: by turns
    Instruments instruments{};
};

std::string_view name_of(const Script& script) {
    constexpr std::array names{"constant", "crash after the end", "crash the day after the end",
                               "early crash"};
    if (script.chill == Chill::none && script.stepped_h) return "stepped";
    return names[static_cast<std::size_t>(script.chill)];
}

Script script_for(const Order& order, std::uint64_t turn, const Pitch& pitch, Random& random) {
    Script script;
    script.set_c = pitch.reference_c;
    script.trouble = order.trouble;
    script.trouble_share = random.between(0.4, 0.75);
    script.creep_points = random.between(2, 5);
    script.creep_h = random.between(40, 100);
    script.chill_share = random.between(0.6, 0.9);
    constexpr std::array by_turns{Chill::none, Chill::day_after, Chill::none, Chill::after_days};
    const std::uint64_t plan = turn % 4;
    script.chill = order.trouble == Trouble::none ? order.chill.value_or(by_turns[plan]) : Chill::none;
    if (plan == 2 && order.trouble == Trouble::none) {
        script.stepped_h =
            pitch.culture == Culture::lager ? random.between(100, 160) : random.between(48, 90);
        script.step_is_told = random.happens(0.5);
    }
    return script;
}

/// How strong, how warm: each strength with each temperature in 25 seeds, five by five.
Pitch pitch_for(bool is_lager, std::uint64_t turn, Random& random) {
    const std::size_t warmth = (2 * turn + turn / 5) % 5;
    return {is_lager ? Culture::lager : Culture::ale, strengths[turn % 5] + random.between(-2, 2),
            is_lager ? lager_c[warmth] : ale_c[warmth]};
}

double draw_attenuation(const Pitch& pitch, Random& random) {
    return pitch.culture == Culture::lager ? random.triangular(0.74, 0.79, 0.85)
                                           : random.triangular(0.66, 0.76, 0.86);
}

/// The strain at its own reference, whatever this batch's temperature.
Kinetics yeast_for(const Order& order, Pitch pitch, Random& random) {
    pitch.reference_c = pitch.culture == Culture::lager ? 11 : 20;
    return order.form(pitch, random);
}

/// What the brewer writes down: a hydrometer's original gravity, and often an expectation of the end.
void tell(World& world, Random& random) {
    world.told_original_sg = rounded(world.original_sg + 0.0009 * random.normal(), 0.0005);
    const double hoped = world.terminal_sg + 0.0022 * random.normal();
    if (random.happens(0.7)) world.told_final_sg = rounded(hoped, 0.001);
}

World lived(const Order& order, std::uint64_t seed, const Pitch& pitch, double attenuation, Kinetics yeast,
            Random& random) {
    World world;
    world.family = order.family;
    world.number = seed;
    world.begin = first_day;
    world.culture = pitch.culture;
    world.original_sg = 1 + point * pitch.original_points;
    world.terminal_sg = 1 + point * pitch.original_points * (1 - attenuation);
    tell(world, random);
    const Script script = script_for(order, seed - 1, pitch, random);
    world.plan = name_of(script);
    world.has_an_end = order.trouble != Trouble::cold_shock && order.trouble != Trouble::drops;
    play(world, std::move(yeast), script, random);
    Instruments instruments = order.instruments;
    if (instruments.float_every_h && random.happens(0.5)) instruments.hydrometer_every_h = 60;
    read(world, instruments, Random{seed, 57'000 + order.stream});
    return world;
}

bool is_lager(const Order& order, std::uint64_t seed) {
    return order.form == activated_biomass || seed % 3 == 0;
}

World made(const Order& order, std::uint64_t seed) {
    Random random{seed, 31'000 + order.stream};
    const Pitch pitch = pitch_for(is_lager(order, seed), seed - 1, random);
    const double attenuation = draw_attenuation(pitch, random);
    Kinetics yeast = yeast_for(order, pitch, random);
    return lived(order, seed, pitch, attenuation, std::move(yeast), random);
}

/// One of several batches of one culture: the same strain, hands and vessel; another strength, a degree more
/// or less, a pace that varies by some 7 % and an attenuation by a point, as from brew to brew (common
/// practice).
World batch_of_culture(const Order& order, std::uint64_t culture, std::uint64_t batch) {
    Random strain{culture, 41'000}, random{culture * 10 + batch, 42'000};
    Pitch pitch = pitch_for(is_lager(order, culture), culture - 1, strain);
    const double attenuation = draw_attenuation(pitch, strain) + 0.01 * random.normal();
    Kinetics yeast = yeast_for(order, pitch, strain);
    yeast.pace = random.lognormal(1, 0.07);
    pitch.original_points = strengths[(culture + 2 * batch) % 4] + random.between(-2, 2);
    pitch.reference_c += random.between(-1, 1);
    return lived(order, culture * 10 + batch, pitch, attenuation, std::move(yeast), random);
}

/// The forms by turns.
Form form_for(std::uint64_t seed) {
    return all_forms[(seed * 3) % all_forms.size()];
}

// clang-format off
World of_logistic(std::uint64_t seed) { return made({"logistic", 1, logistic}, seed); }
World of_five_parameter(std::uint64_t seed) { return made({"five-parameter", 2, five_parameter}, seed); }
World of_gompertz(std::uint64_t seed) { return made({"gompertz", 3, gompertz}, seed); }
World of_activated_biomass(std::uint64_t seed) { return made({"activated-biomass", 4, activated_biomass}, seed); }
World of_three_sugars(std::uint64_t seed) { return made({"three-sugars", 5, three_sugars}, seed); }
World of_nitrogen_limited(std::uint64_t seed) { return made({"nitrogen-limited", 6, nitrogen_limited}, seed); }
World of_at_once(std::uint64_t seed) { return made({"at-once", 7, at_once}, seed); }
World of_late_creep(std::uint64_t seed) { return made({"late-creep", 8, form_for(seed), Trouble::creep}, seed); }
World of_cold_shock(std::uint64_t seed) { return made({"cold-shock", 9, form_for(seed), Trouble::cold_shock}, seed); }
World of_yeast_drops(std::uint64_t seed) { return made({"yeast-drops", 10, form_for(seed), Trouble::drops}, seed); }
World of_early_crash(std::uint64_t seed) {
    return made({"early-crash", 11, form_for(seed), Trouble::none, Chill::early}, seed);
}
World of_hourly(std::uint64_t seed) { return made({"hourly", 12, form_for(seed), Trouble::none, {}, {1.0, {}}}, seed); }
World of_two_hourly(std::uint64_t seed) {
    return made({"two-hourly", 13, form_for(seed), Trouble::none, {}, {2.0, {}}}, seed);
}
World of_minutely(std::uint64_t seed) {
    return made({"each-5-min", 14, form_for(seed), Trouble::none, {}, {1.0 / 12, {}}}, seed);
}
World of_hydrometer(std::uint64_t seed) {
    return made({"hydrometer-alone", 15, form_for(seed), Trouble::none, {}, {std::nullopt, 24.0}}, seed);
}
World of_forced(std::uint64_t seed) {
    return made({"forced-ferment", 17, form_for(seed), Trouble::none, {}, {0.25, {}, 24.0}}, seed);
}
constexpr std::uint64_t lessons = 3;
Order order_of_culture(std::string_view family, std::uint64_t seed) { return {family, 16, form_for(seed)}; }
World of_culture_unlearned(std::uint64_t seed) {
    return batch_of_culture(order_of_culture("fourth, nothing learned", seed), seed, lessons);
}
World of_culture(std::uint64_t seed) {
    return batch_of_culture(order_of_culture("fourth, three learned", seed), seed, lessons);
}
std::vector<World> before_it(std::uint64_t seed) {
    std::vector<World> batches;
    for (std::uint64_t batch = 0; batch < lessons; ++batch)
        batches.push_back(batch_of_culture(order_of_culture("lesson", seed), seed, batch));
    return batches;
}

constexpr std::array all_kinds{
    Kind{"logistic", of_logistic},
    Kind{"five-parameter", of_five_parameter},
    Kind{"gompertz", of_gompertz},
    Kind{"activated-biomass", of_activated_biomass},
    Kind{"three-sugars", of_three_sugars},
    Kind{"nitrogen-limited", of_nitrogen_limited},
    Kind{"at-once", of_at_once},
    Kind{"late-creep", of_late_creep, 0.5},
    Kind{"cold-shock", of_cold_shock, 0.5},
    Kind{"yeast-drops", of_yeast_drops, 0.5},
    Kind{"early-crash", of_early_crash, 0.5},
    Kind{"hourly", of_hourly, 0.5},
    Kind{"two-hourly", of_two_hourly, 0.5},
    Kind{"each-5-min", of_minutely, 0.2},
    Kind{"hydrometer-alone", of_hydrometer, 0.5},
    Kind{"forced-ferment", of_forced, 0.5},
    Kind{"real-tuning", real_for_tuning, 0.8},
    Kind{"real-test", real_for_test, 0.6},
    Kind{"nothing-learned", of_culture_unlearned, 0.5},
    Kind{"three-learned", of_culture, 0.5, before_it},
};
// clang-format on

}  // namespace

std::span<const Kind> kinds() {
    return all_kinds;
}

}  // namespace gyled::ferment_worlds
