#include "tests/simulation/ferments/judge/rows.hpp"

namespace gyled::ferment_worlds {
namespace {

using estimation::Fact;
using estimation::FactKind;

constexpr double finished_within_h = 48, stalled_within_h = 24, started_within_h = 24, resumed_within_h = 72;
constexpr double time_to_see_h = 18;  // nobody could know of an end when the crash follows it sooner
constexpr double fallen_sg = 0.0003;  // before that nothing has started
constexpr double started_share = 0.05;

double hour_of(const World& world, const Fact& fact) {
    return base::hours_between(world.begin, fact.at);
}

/// First of that kind from `from` on.
const Fact* first(const Lived& lived, FactKind kind, double from_h = 0) {
    for (const Fact& fact : lived.diary.facts)
        if (fact.kind == kind && hour_of(lived.world, fact) >= from_h) return &fact;
    return nullptr;
}

void judge_started(const Lived& lived, Ledger& ledger) {
    const World& world = lived.world;
    const auto begun = world.hour_of_share(started_share);
    if (!begun) return;
    const Fact* said = first(lived, FactKind::fermentation_started);
    const double after =
        said != nullptr ? hour_of(world, *said) - *begun : std::numeric_limits<double>::infinity();
    const bool too_early =
        said != nullptr && world.original_sg - world.at(hour_of(world, *said)).sg < fallen_sg;
    ledger.note("started within 24 h of 5 %, " + world.family,
                {!too_early && after <= started_within_h, after, world.name()});
}

void judge_overdue(const Lived& lived, Ledger& ledger) {
    const World& world = lived.world;
    const Fact* said = first(lived, FactKind::fermentation_overdue);
    ledger.note("overdue, false, " + world.family,
                {said == nullptr, said != nullptr ? hour_of(world, *said) : 0, world.name()});
}

void judge_finished(const Lived& lived, Ledger& ledger) {
    const World& world = lived.world;
    if (!world.has_an_end && !world.stopped_h) return;  // nobody knows
    bool too_early = false;
    const Fact* said = nullptr;
    for (const Fact& fact : lived.diary.facts) {
        if (fact.kind != FactKind::fermentation_finished) continue;
        const double left = world.at(hour_of(world, fact)).sg - world.terminal_sg;
        if (!world.has_an_end || left > finish_sg)
            too_early = true;
        else if (said == nullptr)
            said = &fact;
    }
    ledger.note("finished, too early, " + world.family,
                {!too_early, std::numeric_limits<double>::quiet_NaN(), world.name()});
    const auto near = world.hour_within(finish_sg);
    if (!near || (world.chilled_h && *world.chilled_h < *near + time_to_see_h)) return;
    const double after =
        said != nullptr ? hour_of(world, *said) - *near : std::numeric_limits<double>::infinity();
    ledger.note("finished within 48 h, " + world.family, {after <= finished_within_h, after, world.name()});
    ledger.note("finished within 48 h, " + world.plan, {after <= finished_within_h, after, world.name()});
}

void judge_stalled(const Lived& lived, Ledger& ledger) {
    const World& world = lived.world;
    if (!world.stopped_h) {
        const Fact* false_one = first(lived, FactKind::fermentation_stalled);
        const bool in_a_creep =
            false_one != nullptr && world.creeps_h && hour_of(world, *false_one) > *world.creeps_h;
        const double when = false_one != nullptr ? hour_of(world, *false_one) : 0;
        ledger.note("stalled, false, " + world.family,
                    {false_one == nullptr || in_a_creep, when, world.name()});
        return;
    }
    const Fact* early = first(lived, FactKind::fermentation_stalled);
    // Said too early: it still fell afterwards. Shocked yeast is at work no more long before it is warm
    // again.
    const bool before =
        early != nullptr && world.at(hour_of(world, *early)).sg - world.terminal_sg > finish_sg;
    const Fact* said = first(lived, FactKind::fermentation_stalled, before ? *world.stopped_h : 0);
    const double after =
        said != nullptr ? hour_of(world, *said) - *world.stopped_h : std::numeric_limits<double>::infinity();
    ledger.note("stalled within 24 h, " + world.family, {after <= stalled_within_h, after, world.name()});
}

void judge_resumed(const Lived& lived, Ledger& ledger) {
    const World& world = lived.world;
    if (!world.creeps_h) return;
    const Fact* said = first(lived, FactKind::fermentation_resumed, *world.creeps_h);
    const double after =
        said != nullptr ? hour_of(world, *said) - *world.creeps_h : std::numeric_limits<double>::infinity();
    ledger.note("resumed within 72 h, " + world.family, {after <= resumed_within_h, after, world.name()});
}

}  // namespace

void judge_facts(const Lived& lived, Ledger& ledger) {
    judge_started(lived, ledger);
    judge_overdue(lived, ledger);
    judge_finished(lived, ledger);
    judge_stalled(lived, ledger);
    judge_resumed(lived, ledger);
}

}  // namespace gyled::ferment_worlds
