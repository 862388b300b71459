#include "tests/simulation/ferments/judge/live.hpp"

#include <cmath>

#include "tests/simulation/ferments/judge/rows.hpp"

namespace gyled::ferment_worlds {

int live_through(const Kind& kind, int seeds, judging::Ledger& ledger) {
    const int worlds = static_cast<int>(std::ceil(seeds * kind.per_seed));
    for (int seed = 1; seed <= worlds; ++seed) {
        const World world = kind.make(static_cast<std::uint64_t>(seed));
        const Diary diary = watch(world);
        judge({world, diary}, ledger);
    }
    return worlds;
}

}  // namespace gyled::ferment_worlds
