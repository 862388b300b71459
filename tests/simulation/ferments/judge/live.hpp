#pragma once
/// From a kind of world to the ledger: drawn, watched, judged.

#include "tests/simulation/ferments/truth/worlds.hpp"
#include "tests/simulation/judging/ledger.hpp"

namespace gyled::ferment_worlds {

/// Seeds 1 to `seeds`, times what the kind asks for; how many worlds that were.
int live_through(const Kind& kind, int seeds, judging::Ledger& ledger);

}  // namespace gyled::ferment_worlds
