#pragma once
/// A reading came later than it was taken: is it news?

#include <cstdint>

namespace gyled::sensors {

enum class Lateness : std::uint8_t {
    none,      ///< it came in time
    unproven,  ///< it came late, alone: news from a slow clock, or the first of a backlog
    live,      ///< as late as the ones before it: the clock is slow, the reading is news
    backlog,   ///< demonstrably old
};

}  // namespace gyled::sensors
