#include "tests/simulation/ferments/judge/live.hpp"

#include <cmath>

#include "daemon/estimation/gravity/teaching.hpp"
#include "tests/simulation/ferments/judge/rows.hpp"

namespace gyled::ferment_worlds {
namespace {

/// Batch after batch, as the cellar keeps it.
std::optional<estimation::LearnedCurve> learned_before(const Kind& kind, std::uint64_t number) {
    std::optional<estimation::LearnedCurve> known;
    if (kind.before == nullptr) return known;
    for (const World& batch : kind.before(number))
        if (auto taught = watch(batch, known).learned)
            known = estimation::joined(known, known, std::move(*taught));
    return known;
}

}  // namespace

int live_through(const Kind& kind, int seeds, judging::Ledger& ledger) {
    const int worlds = static_cast<int>(std::ceil(seeds * kind.per_seed));
    for (int seed = 1; seed <= worlds; ++seed) {
        const auto number = static_cast<std::uint64_t>(seed);
        const World world = kind.make(number);
        const Diary diary = watch(world, learned_before(kind, number));
        judge({world, diary}, ledger);
    }
    return worlds;
}

}  // namespace gyled::ferment_worlds
