#pragma once
/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014): a small random generator that is a plain value, so that a
/// copied filter goes the same way as its original, on every machine. Not for secrets. Single-threaded.

#include <cstdint>

namespace gyled::estimation::statistics {

class Random {
public:
    explicit Random(std::uint64_t seed) : state_{seed} {}

    std::uint64_t next();
    /// Uniform in [0, 1).
    double fraction();
    /// Standard normal, by Box and Muller; uses two fractions.
    double normal();

private:
    std::uint64_t state_;
};

}  // namespace gyled::estimation::statistics
