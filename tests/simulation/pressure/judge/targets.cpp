#include "tests/simulation/pressure/judge/targets.hpp"

#include <array>

namespace gyled::pressure_worlds {
namespace {

using enum Target::Kind;

// clang-format off
constexpr std::array all{
    Target{"co2_volumes, ", interval, 0, "vol"},
    Target{"co2_volumes, ", score, 0, "vol"},
    Target{"co2_volumes, vented", error, 0.02, "vol"},
    Target{"co2_volumes, spunded", error, 0.02, "vol"},
    Target{"co2_volumes, sealed", error, 0.03, "vol"},
    Target{"co2_volumes, supplied", error, 0.07, "vol"},
    Target{"co2_volumes, after a shut-in", error, 0.04, "vol"},
    Target{"head_space_air, ", interval, 0, "%"},
    Target{"carbonated is so when told", every, 0, "vol over its target"},
    Target{"carbonated told within 24 h", every, 0, "h"},
    Target{"closed_pressure, ", interval, 0, "kPa"},
    Target{"closed_pressure, ", error, 0.08, "of it"},
    Target{"warm_pressure, ", interval, 0, "kPa"},
    Target{"warm_pressure, ", error, 0.08, "of it"},
    Target{"crash_pressure, ", interval, 0, "kPa"},
    Target{"crash_pressure, ", error, 0.08, "of it"},
    Target{"closing_gravity, ", interval, 0, "SG"},
    Target{"closing_gravity is safe, ", hardly, 0.05, "points below"},
    Target{"limit_time an hour ahead", interval, 0, "min"},
    Target{"first warning an hour ahead", every, 0, "min"},
    Target{"no all-clear before the rise ends", every, 0, "min"},
    Target{"closed_with_sugar told or asked at the shutting", every, 0, "min", "closed_with_sugar"},
    Target{"closed_with_sugar rings at the shutting", every, 0, "min", "closed_with_sugar"},
    Target{"closed_with_sugar rings an hour before the limit", every, 0, "min", "closed_with_sugar"},
    Target{"closed_with_sugar, false", hardly, 0.02, "h", "closed_with_sugar"},
    Target{"closed_with_sugar asks of a healthy closing", hardly, 0.4, "h", "closed_with_sugar"},
    Target{"warm_pressure_above_limit, false", hardly, 0.02, "h", "warm_pressure_above_limit"},
    Target{"pressure_rising_to_limit, false", hardly, 0.02, "h", "pressure_rising_to_limit"},
    Target{"relief_lifting in", every, 0, "min", "relief_lifting"},
    Target{"vent_blocked in", every, 0, "min", "vent_blocked"},
    Target{"leak_suspected in", every, 0, "min", "leak_suspected"},
    Target{"steam_collapse before", every, 0, "min", "steam_collapse"},
    Target{"relief_lifting, false", hardly, 0, "h", "relief_lifting"},
    Target{"vent_blocked, false", hardly, 0, "h", "vent_blocked"},
    Target{"leak_suspected, false", hardly, 0, "h", "leak_suspected"},
    Target{"steam_collapse, false", hardly, 0, "h", "steam_collapse"},
    Target{"sensor_silent without a batch", every, 0, "min", "sensor_silent"},
    Target{"attenuation without a float", interval, 0, "%"},
    Target{"attenuation without a float", error, 3, "%"},
};
// clang-format on

}  // namespace

std::span<const Target> targets() {
    return all;
}

}  // namespace gyled::pressure_worlds
