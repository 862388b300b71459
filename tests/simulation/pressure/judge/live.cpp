#include "tests/simulation/pressure/judge/live.hpp"

#include <cmath>

#include "tests/simulation/pressure/judge/rows.hpp"
#include "tests/simulation/pressure/truth/record.hpp"

namespace gyled::pressure_worlds {

int live_through(const Kind& kind, int seeds, Ledger& ledger) {
    const int worlds = static_cast<int>(std::ceil(seeds * kind.per_seed));
    for (int seed = 1; seed <= worlds; ++seed) {
        const Tape tape = record(kind.make(static_cast<std::uint64_t>(seed)));
        const Diary diary = watch(tape);
        judge({tape, diary}, ledger);
    }
    return worlds;
}

}  // namespace gyled::pressure_worlds
