/// What was said to people, and whether it was so.

#include "tests/simulation/looking.hpp"

namespace gyled::simulation {
namespace {

using namespace std::chrono_literals;
using estimation::FactKind;
using virtual_vessel::Trouble;
using virtual_vessel::TroubleKind;
using virtual_vessel::Truth;

/// When it was said for good; nothing when never, or taken back.
std::optional<Timestamp> said(const World& world, FactKind kind) {
    std::optional<Timestamp> at;
    for (const Told& told : world.facts)
        if (told.kind == kind) at = told.revoked ? std::nullopt : std::optional{told.at};
    return at;
}
std::optional<Timestamp> first_said(const World& world, FactKind kind) {
    for (const Told& told : world.facts)
        if (told.kind == kind && !told.revoked) return told.at;
    return std::nullopt;
}

void score_finished(const World& world, const Drop& drop, Score& score) {
    for (const Told& told : world.facts)
        if (told.kind == FactKind::fermentation_finished && !told.revoked &&
            world.truth_at(told.at).sg - drop.terminal_sg > 0.0007)
            score.figures["finished too early"] += 1;
    const auto finished = said(world, FactKind::fermentation_finished);
    if (has(world, TroubleKind::stuck)) {
        if (finished) score.figures["finished though stuck"] = 1;
        return;
    }
    if (!drop.within_7 || world.truths.back().time - *drop.within_7 <= 48h) return;
    score.figures["finished expected"] = 1;
    if (!finished) return;
    score.figures["finished"] = 1;
    score.figures["finished after, h"] = base::hours_between(*drop.within_7, *finished);
}

void score_stall(const World& world, const Drop& drop, Score& score) {
    const auto stalled = first_said(world, FactKind::fermentation_stalled);
    if (!has(world, TroubleKind::stuck)) {
        if (stalled) score.figures["false stall"] = 1;
        return;
    }
    score.figures["stall expected"] = 1;
    if (!stalled || !drop.within_7) return;
    score.figures["stall told"] = 1;
    score.figures["stall told after, h"] = base::hours_between(*drop.within_7, *stalled);
}

void score_leak(const World& world, Score& score) {
    std::optional<Timestamp> since;
    for (const Trouble& trouble : world.scenario.troubles)
        if (trouble.kind == TroubleKind::leak)
            since = world.scenario.begin + base::hours(trouble.start_hours);
    const auto told = first_said(world, FactKind::leak_suspected);
    if (!since) {
        if (told) score.figures["false leak"] = 1;
        return;
    }
    score.figures["leak expected"] = 1;
    if (!told) return;
    score.figures["leak told"] = 1;
    score.figures["leak told after, h"] = base::hours_between(*since, *told);
}

void score_limit_alarm(const World& world, Score& score) {
    const auto& vessel = world.scenario.vessel;
    const double limit = std::min(vessel.working_pressure_kpa, vessel.relief_pressure_kpa);
    const auto reached =
        first_when(world, [&](const Truth& t) { return t.relief_open || t.head_pressure_kpa >= limit - 1; });
    if (reached) score.figures["limit reached"] = 1;
    for (const auto& alarm : world.alarms) {
        if (alarm.state != alarms::AlarmState::raised) continue;
        score.figures["alarms raised"] += 1;
        if (alarm.rule != "pressure_rising_to_limit") continue;
        if (!reached)
            score.figures["false pressure_rising"] += 1;
        else if (!score.figures.contains("limit warned before, min"))
            score.figures["limit warned before, min"] = base::hours_between(alarm.at, *reached) * 60;
    }
}

}  // namespace

void score_facts(const World& world, Score& score) {
    if (const auto drop = drop_of(world)) {
        score_finished(world, *drop, score);
        score_stall(world, *drop, score);
    }
    score_leak(world, score);
    score_limit_alarm(world, score);
}

}  // namespace gyled::simulation
