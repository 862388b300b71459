#include "tests/simulation/ferments/judge/targets.hpp"

#include <array>
#include <limits>

namespace gyled::ferment_worlds {
namespace {

using enum Target::Kind;
constexpr double no_bound = std::numeric_limits<double>::infinity();

// clang-format off
constexpr std::array all{
    Target{"finish_time at 40 %, all", error, 18, "h"},
    Target{"finish_time at 60 %, all", error, 12, "h"},
    Target{"finish_time at 80 %, all", error, 10, "h"},
    Target{"final_gravity at half, all", error, 1.45, "points"},
    Target{"final_gravity at three quarters, all", error, 1.30, "points"},
    Target{"finish_time at 60 %, real", error, 10, "h"},
    Target{"finish_time at 60 %, fourth, three", error, 8, "h"},
    Target{"finish_time", error, no_bound, "h"},
    Target{"finish_time", interval, 0, "h"},
    Target{"finish_time", score, 0, "h"},
    Target{"final_gravity", error, no_bound, "points"},
    Target{"final_gravity", interval, 0, "points"},
    Target{"final_gravity", score, 0, "points"},
    Target{"gravity_now", interval, 0, "points"},
    Target{"gravity_now, active", bias, 0.4, "points"},
    Target{"apparent_attenuation", interval, 0, "%"},
    Target{"started within", every, 0, "h"},
    Target{"overdue, false", hardly, 0, "h"},
    Target{"stalled, false", hardly, 0, "h"},
    Target{"stalled within", every, 0, "h"},
    Target{"finished, too early", hardly, 0, "h"},
    Target{"finished within", soon, 36, "h"},
    Target{"resumed within", every, 0, "h"},
};
// clang-format on

}  // namespace

std::span<const Target> targets() {
    return all;
}

}  // namespace gyled::ferment_worlds
