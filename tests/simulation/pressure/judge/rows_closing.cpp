#include <algorithm>

#include "tests/simulation/pressure/judge/rows.hpp"

namespace gyled::pressure_worlds {
namespace {

/// The gravity at which a vessel shut would just meet its limit once warm, all sugar fermented: between the
/// two looks where the outlook passes it. Nothing when the vessel was shut or the world over before.
std::optional<double> truly_safe_from(const Tape& tape) {
    const double limit = limit_of(tape.script);
    const auto safe =
        std::ranges::find_if(tape.looks, [&](const Look& look) { return look.outlook.warm_kpa <= limit; });
    if (safe == tape.looks.end() || safe == tape.looks.begin()) return std::nullopt;
    if (told_at(tape, safe->truth.at).head_space != HeadSpace::vented) return std::nullopt;
    const Look &before = *std::prev(safe), &after = *safe;
    const double way = (before.outlook.warm_kpa - limit) / (before.outlook.warm_kpa - after.outlook.warm_kpa);
    return before.truth.sg + way * (after.truth.sg - before.truth.sg);
}

}  // namespace

void judge_closing_gravity(const Lived& world, Ledger& ledger) {
    const Tape& tape = world.tape;
    if (!tape.script.has_batch || tape.script.fermented_already) return;
    const auto safe = truly_safe_from(tape);
    if (!safe) return;
    for (const auto& [truth, outlook] : tape.looks) {
        if (truth.sg < *safe) break;
        const std::string phase = phase_of(tape, truth);
        if (!phase.starts_with("vented, ferment") || truth.at == tape.begin) continue;
        const auto* believed = world.diary.believed(truth.at, "closing_gravity");
        ledger.look("closing_gravity, " + phase, believed, {.truth = *safe, .world = name_of(tape)});
        ledger.note("closing_gravity is safe, " + phase,
                    {believed != nullptr && believed->value <= *safe,
                     believed != nullptr ? 1000 * (*safe - believed->value) : 0, name_of(tape)});
    }
}

}  // namespace gyled::pressure_worlds
