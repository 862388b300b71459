/// What would happen if: the pressure of a warmed vessel, the time to a temperature and to a limit.

#include <algorithm>
#include <cmath>

#include "sensors/virtual_vessel/plant/plant.hpp"
#include "tests/simulation/looking.hpp"

namespace gyled::simulation {
namespace {

using namespace std::chrono_literals;
using base::Quantity;
using virtual_vessel::Trouble;
using virtual_vessel::TroubleKind;
using virtual_vessel::Truth;

/// The warmest that the core reckons with when nobody says otherwise.
constexpr double warmest_c = 25;

/// A chiller fails: the outlook of that moment against what the true contents would settle at, valves shut.
void look_at_warming(const World& world, Score& score) {
    for (const Trouble& trouble : world.scenario.troubles) {
        if (trouble.kind != TroubleKind::chiller_failure) continue;
        const Timestamp at = world.scenario.begin + base::hours(trouble.start_hours);
        const auto* warm = believed(world, at, Quantity::warm_pressure);
        if (warm == nullptr) continue;
        virtual_vessel::Plant plant{world.scenario};
        plant.advance(at - world.scenario.begin);
        const double settled_kpa = plant.shut_in_kpa(warmest_c);
        score.figures["warm_pressure off, %"] = 100 * std::abs(warm->value / settled_kpa - 1);
        score.look("warm_pressure", "chiller fails", *warm, settled_kpa);
    }
}

/// Where a vessel that was shut would go by itself, of parts that bear it.
struct ShutIn {
    double settled_kpa, warm_kpa;
};
ShutIn shut_in(const World& world, double celsius) {
    virtual_vessel::Scenario strong = world.scenario;
    constexpr double bears_all_kpa = 1000;
    strong.vessel.working_pressure_kpa = strong.vessel.relief_pressure_kpa = bears_all_kpa;
    virtual_vessel::Plant plant{strong};
    plant.advance(base::hours(strong.duration_hours));
    return {plant.shut_in_kpa(celsius), plant.shut_in_kpa(warmest_c)};
}

/// Shut while there is sugar left: the outlook of that moment, and whether it was told within minutes.
/// Nowhere else may it be told.
void look_at_closing(const World& world, Score& score) {
    const auto told_by = [&](Timestamp at) {
        return std::ranges::any_of(world.alarms, [&](const alarms::Transition& step) {
            return step.rule == "closed_with_sugar" && step.state == alarms::AlarmState::raised &&
                   step.priority >= alarms::Priority::high && step.at <= at;
        });
    };
    const auto shut = first_when(world, [](const Truth& t) {
        return t.stage == base::StageKind::ferment && t.head_space == base::HeadSpace::sealed;
    });
    const bool is_told = told_by(shut ? *shut + 10min : Timestamp::max());
    if (!shut) {
        const bool is_blocked = has(world, TroubleKind::shut_vent);
        score.figures["false closed_with_sugar"] = is_told && !is_blocked ? 1 : 0;
        return;
    }
    const ShutIn end = shut_in(world, world.truth_at(*shut).beer_c);
    const auto& vessel = world.scenario.vessel;
    const bool passes = end.settled_kpa > std::min(vessel.working_pressure_kpa, vessel.relief_pressure_kpa);
    if (passes) score.figures["closed with sugar told"] = is_told ? 1 : 0;
    score.figures["false closed_with_sugar"] = !passes && is_told ? 1 : 0;
    if (const auto* closed = believed(world, shut, Quantity::closed_pressure)) {
        score.figures["closed_pressure off, %"] = 100 * std::abs(closed->value / end.settled_kpa - 1);
        score.look("closed_pressure", "when shut", *closed, end.settled_kpa);
    }
    if (const auto* warm = believed(world, shut, Quantity::warm_pressure))
        score.look("warm_pressure", "when shut", *warm, end.warm_kpa);
}

/// When the beer is truly inside the stage's band; nothing when it never comes there in that stage.
std::optional<Timestamp> ready_after(const World& world, Timestamp at, const virtual_vessel::Stage& stage) {
    for (const Truth& truth : world.truths) {
        if (truth.time <= at) continue;
        if (truth.stage != stage.kind) return std::nullopt;
        if (std::abs(truth.beer_c - stage.temperature_c) <= stage.band_c) return truth.time;
    }
    return std::nullopt;
}

void look_at_brew_day(const World& world, Score& score) {
    if (!world.scenario.brew_day) return;
    std::vector<double> errors_min;
    for (const Belief& belief : world.beliefs) {
        const Truth& truth = world.truth_at(belief.at);
        const auto* when = find(belief, Quantity::ready_time);
        if (when == nullptr || base::is_cold_side(truth.stage)) continue;
        for (const auto& stage : world.scenario.stages)
            if (stage.kind == truth.stage)
                if (const auto ready = ready_after(world, belief.at, stage)) {
                    score.look("ready_time", base::name(stage.kind), *when, base::unix_seconds(*ready));
                    errors_min.push_back(std::abs(when->value - base::unix_seconds(*ready)) / 60);
                }
    }
    if (!errors_min.empty()) score.figures["ready_time error, min"] = median(std::move(errors_min));
}

/// A blocked vent: forecasts of the last six hours before the limit was met.
void look_at_limit(const World& world, Score& score) {
    if (!has(world, TroubleKind::shut_vent)) return;
    const auto& vessel = world.scenario.vessel;
    const double limit = std::min(vessel.working_pressure_kpa, vessel.relief_pressure_kpa);
    const auto reached =
        first_when(world, [&](const Truth& t) { return t.relief_open || t.head_pressure_kpa >= limit; });
    if (!reached) return;
    for (const Belief& belief : world.beliefs)
        if (const auto* when = find(belief, Quantity::limit_time);
            when && belief.at < *reached && *reached - belief.at <= 6h)
            score.look("limit_time", "vent blocked", *when, base::unix_seconds(*reached));
}

}  // namespace

void score_outlooks(const World& world, Score& score) {
    look_at_warming(world, score);
    look_at_closing(world, score);
    look_at_brew_day(world, score);
    look_at_limit(world, score);
}

}  // namespace gyled::simulation
