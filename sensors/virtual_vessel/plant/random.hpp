#pragma once
/// Chance that is the same on every machine: the standard library's distributions are not.

#include <cmath>
#include <cstdint>
#include <numbers>

namespace gyled::virtual_vessel {

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014): small, seedable with any number, good enough for noise.
class Random {
public:
    explicit constexpr Random(std::uint64_t seed) : state_{seed} {}
    /// An independent stream: the same seed gives another batch for another `purpose`.
    constexpr Random(std::uint64_t seed, std::uint64_t purpose) : state_{seed} {
        state_ = next() ^ (purpose * 0xD1B54A32D192ED03ULL);
        next();
    }

    constexpr std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    /// In [0, 1).
    constexpr double fraction() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
    constexpr double between(double low, double high) { return low + (high - low) * fraction(); }
    constexpr bool happens(double probability) { return fraction() < probability; }
    /// Triangular between `low` and `high` with its peak at `mode`.
    double triangular(double low, double mode, double high) {
        const double u = fraction();
        const double below = (mode - low) / (high - low);
        return u < below ? low + std::sqrt(u * (high - low) * (mode - low))
                         : high - std::sqrt((1.0 - u) * (high - low) * (high - mode));
    }
    /// Lognormal; `spread` is the sigma of its logarithm.
    double lognormal(double median, double spread) { return median * std::exp(spread * normal()); }
    /// Normal with mean 0 and sigma 1 (Box and Muller).
    double normal() {
        const double radius = std::sqrt(-2.0 * std::log(1.0 - fraction()));
        return radius * std::cos(2.0 * std::numbers::pi * fraction());
    }

private:
    std::uint64_t state_;
};

}  // namespace gyled::virtual_vessel
