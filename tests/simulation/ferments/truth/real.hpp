#pragma once
/// Real ferments, see real/README.md: their samples are the truth, the instruments are drawn.

#include "tests/simulation/ferments/truth/world.hpp"

namespace gyled::ferment_worlds {

/// Seeds go round the ferments of the half, with other instruments each time. Throws when the file cannot be
/// read.
[[nodiscard]] World real_for_tuning(std::uint64_t seed);  ///< 01, 07, 13, 19
[[nodiscard]] World real_for_test(std::uint64_t seed);    ///< 04, 10, 16

}  // namespace gyled::ferment_worlds
