#pragma once
/// From a kind of world to the ledger: drawn, played, watched, judged.

#include "tests/simulation/judging/ledger.hpp"
#include "tests/simulation/pressure/truth/worlds.hpp"

namespace gyled::pressure_worlds {

/// Seeds 1 to `seeds`, times what the kind asks for; how many worlds that were.
int live_through(const Kind& kind, int seeds, judging::Ledger& ledger);

}  // namespace gyled::pressure_worlds
