#include "tests/simulation/ferments/truth/worlds.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "tests/simulation/ferments/truth/kinetics.hpp"
#include "tests/simulation/ferments/truth/sensors.hpp"

namespace gyled::ferment_worlds {
namespace {

using base::Culture;
using base::StageKind;
using namespace std::chrono_literals;

constexpr Timestamp first_day{base::Duration{1'772'388'000'000}};  // 2026-03-01T18:00:00Z
constexpr double point = 0.001;                                    // SG
constexpr double longest_h = 60 * 24;
constexpr std::array strengths{36.0, 44.0, 52.0, 64.0, 90.0};  // points
constexpr std::array ale_c{16.0, 18.0, 20.0, 22.0, 24.0};
constexpr std::array lager_c{8.0, 9.5, 11.0, 12.5, 14.0};

using Form = Kinetics (*)(const Pitch&, Random&);
constexpr std::array all_forms{logistic,     five_parameter,   gompertz, activated_biomass,
                               three_sugars, nitrogen_limited, at_once};

double rounded(double value, double to) {
    return std::round(value / to) * to;
}

enum class Chill : std::uint8_t { none, after_days, day_after, early };
enum class Trouble : std::uint8_t { none, cold_shock, drops, creep };

/// What is to happen; hours.
struct Script {
    double set_c = 20;
    std::optional<double> stepped_h;  ///< then 3 degC warmer
    bool step_is_told = false;
    Chill chill = Chill::none;
    double chill_share = 1;  ///< of the drop, for an early one
    Trouble trouble = Trouble::none;
    double trouble_share = 0.6;  ///< of the drop
    double creep_points = 3;
    double creep_h = 72;  ///< its time constant
};

/// Lives the truth of one batch, step by step.
class Play {
public:
    Play(World& world, Kinetics kinetics, const Script& script, Random random)
        : world_{world}, kinetics_{std::move(kinetics)}, script_{script}, phase_h_{random.between(0, 24)} {
        beer_c_ = script.set_c + random.between(-1, 1.5);
    }

    void to_the_end() {
        eaten_in_the_end_ = left_alone();
        world_.stages.push_back({world_.begin, StageKind::ferment, script_.set_c});
        if (script_.stepped_h && script_.step_is_told)
            world_.planned.push_back(
                {world_.time_of(*script_.stepped_h), StageKind::ferment, script_.set_c + 3});
        while (hour_ < longest_h && !is_over()) step();
        if (world_.stopped_h) world_.terminal_sg = world_.quarters.back().sg;
    }

private:
    /// What it would eat in all, kept as planned and never chilled.
    [[nodiscard]] double left_alone() const {
        Kinetics twin = kinetics_;
        for (double hour = 0; hour < longest_h; hour += 0.25)
            twin.step(0.25,
                      script_.stepped_h && hour > *script_.stepped_h ? script_.set_c + 3 : script_.set_c);
        return twin.eaten(twin.state);
    }
    [[nodiscard]] double done() const { return kinetics_.eaten(kinetics_.state) / eaten_in_the_end_; }
    [[nodiscard]] double points_left() const {
        return (1 - done()) * (world_.original_sg - world_.terminal_sg) / point;
    }

    void step() {
        hour_ += 0.25;
        set_temperature();
        meet_trouble();
        if (points_left() <= end_sg / point && !ended_h_) ended_h_ = hour_;
        kinetics_.step(0.25, beer_c_, activity_);
        const double drop = world_.original_sg - world_.terminal_sg;
        const double crept = world_.creeps_h ? script_.creep_points *
                                                   -std::expm1(-(hour_ - *world_.creeps_h) / script_.creep_h)
                                             : 0;
        world_.quarters.push_back({world_.original_sg - drop * done() - point * crept, beer_c_, stage_});
    }

    void set_temperature() {
        double set_c = script_.set_c;
        if (script_.stepped_h && hour_ > *script_.stepped_h) set_c += 3;
        if (is_cold_now()) set_c = 2;
        if (script_.trouble == Trouble::cold_shock && shock_h_ && hour_ < *shock_h_ + shock_lasts_h)
            set_c -= 9;
        constexpr double day_c = 0.3, follows_per_h = 0.2;
        const double room = day_c * std::sin(2 * std::numbers::pi * (hour_ + phase_h_) / 24);
        beer_c_ += -std::expm1(-0.25 * follows_per_h) * (set_c + room - beer_c_);
    }

    /// Chilled, and an early one warmed up again after three days.
    bool is_cold_now() {
        if (!chilled_h_ && is_to_be_chilled()) {
            chilled_h_ = world_.chilled_h = hour_;
            tell(StageKind::crash, 2);
        }
        if (chilled_h_ && script_.chill == Chill::early && hour_ > *chilled_h_ + 72) {
            if (stage_ == StageKind::crash) tell(StageKind::ferment, script_.set_c);
            return false;
        }
        return chilled_h_.has_value();
    }
    [[nodiscard]] bool is_to_be_chilled() const {
        if (script_.chill == Chill::early) return done() >= script_.chill_share;
        const double waits_h = script_.chill == Chill::day_after ? 24 : 84;
        return script_.chill != Chill::none && ended_h_ && hour_ >= *ended_h_ + waits_h;
    }
    void tell(StageKind kind, double celsius) {
        stage_ = kind;
        world_.stages.push_back({world_.time_of(hour_), kind, celsius});
    }

    void meet_trouble() {
        const bool is_due = done() >= script_.trouble_share;
        if (script_.trouble == Trouble::cold_shock && is_due && !shock_h_) shock_h_ = hour_;
        if (script_.trouble == Trouble::drops && is_due && !world_.stopped_h) world_.stopped_h = hour_;
        // Shocked yeast does not come back: it is stuck from the moment at which it is as warm as before.
        if (shock_h_ && !world_.stopped_h && hour_ > *shock_h_ + shock_lasts_h &&
            beer_c_ > script_.set_c - 1.5)
            world_.stopped_h = hour_;
        if (shock_h_ || world_.stopped_h) activity_ *= std::exp(-0.25 / gives_up_within_h);
        if (script_.trouble == Trouble::creep && ended_h_ && !world_.creeps_h && hour_ > *ended_h_ + 96)
            world_.creeps_h = hour_;
    }

    [[nodiscard]] bool is_over() const {
        if (world_.stopped_h) return hour_ > *world_.stopped_h + 96;
        if (world_.creeps_h) return hour_ > *world_.creeps_h + 144;
        if (chilled_h_ && script_.chill != Chill::early) return hour_ > *chilled_h_ + 96;
        if (script_.trouble == Trouble::creep) return false;
        return ended_h_ && hour_ > *ended_h_ + 120;
    }

    static constexpr double shock_lasts_h = 20, gives_up_within_h = 3;

    World& world_;
    Kinetics kinetics_;
    const Script& script_;
    double phase_h_;
    double hour_ = 0, beer_c_ = 20, activity_ = 1, eaten_in_the_end_ = 1;
    StageKind stage_ = StageKind::ferment;
    std::optional<double> ended_h_, chilled_h_, shock_h_;
};

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

World made(const Order& order, std::uint64_t seed) {
    Random random{seed, 31'000 + order.stream};
    const std::uint64_t turn = seed - 1;
    World world;
    world.family = order.family;
    world.number = seed;
    world.begin = first_day;
    const bool is_lager = order.form == activated_biomass || turn % 3 == 2;
    world.culture = is_lager ? Culture::lager : Culture::ale;
    // Five by five: each strength with each temperature in 25 seeds.
    const std::size_t strength = turn % 5, warmth = (2 * turn + turn / 5) % 5;
    const double original = strengths[strength] + random.between(-2, 2);
    const double set_c = is_lager ? lager_c[warmth] : ale_c[warmth];
    const double gone = is_lager ? random.triangular(0.74, 0.79, 0.85) : random.triangular(0.66, 0.76, 0.86);
    world.original_sg = 1 + point * original;
    world.terminal_sg = 1 + point * original * (1 - gone);
    world.told_original_sg = rounded(world.original_sg + 0.0009 * random.normal(), 0.0005);
    const double hoped = world.terminal_sg + 0.0022 * random.normal();
    if (random.happens(0.7)) world.told_final_sg = rounded(hoped, 0.001);

    const Pitch pitch{world.culture, original, is_lager ? 11.0 : 20.0};
    Kinetics kinetics = order.form(pitch, random);
    const Script script = script_for(order, turn, {world.culture, original, set_c}, random);
    world.plan = name_of(script);
    world.has_an_end = order.trouble != Trouble::cold_shock && order.trouble != Trouble::drops;
    Play{world, std::move(kinetics), script, random}.to_the_end();
    Instruments instruments = order.instruments;
    if (instruments.float_every_h && seed % 2 == 0) instruments.hydrometer_every_h = 60;
    read(world, instruments, Random{seed, 57'000 + order.stream});
    return world;
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
};
// clang-format on

}  // namespace

std::span<const Kind> kinds() {
    return all_kinds;
}

}  // namespace gyled::ferment_worlds
