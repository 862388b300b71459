#pragma once
/// Plays a script from beginning to end. Deterministic; some 0.2 s for three weeks.

#include "tests/simulation/pressure/truth/tape.hpp"

namespace gyled::pressure_worlds {

[[nodiscard]] Tape record(const Script& script);

}  // namespace gyled::pressure_worlds
