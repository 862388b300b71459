#include "daemon/estimation/statistics/random.hpp"

#include <cmath>
#include <numbers>

namespace gyled::estimation::statistics {

std::uint64_t Random::next() {
    std::uint64_t z = state_ += 0x9E3779B97F4A7C15ULL;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

double Random::fraction() {
    return static_cast<double>(next() >> 11) * 0x1.0p-53;  // the 53 bits that a double holds
}

double Random::normal() {
    const double radius = std::sqrt(-2.0 * std::log(1.0 - fraction()));
    return radius * std::cos(2.0 * std::numbers::pi * fraction());
}

}  // namespace gyled::estimation::statistics
