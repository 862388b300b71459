#pragma once
/// What a relief valve promises, how near one may come to it, and how much CO2 a room may hold.
///
/// **Software is not a protective device.** These figures tell when to wake a person; the relief valve
/// protects. The limit that counts is the lowest of the vessel's rating, the relief set pressure and every
/// sight glass, hose and gauge fitted. Gauge kPa throughout: ratings and valves are marked in gauge. NaN in,
/// NaN out.

#include <optional>

#include "daemon/base/units.hpp"

namespace gyled::brewing {

using base::kpa_from_psi;

namespace detail {
/// The greater of the two; NaN when the first is.
constexpr double greater(double a, double b) {
    return a < b ? b : a;
}
}  // namespace detail

/// How far a valve may open from its mark: 2 psi up to 70 psi, 3 % above. UG-134(d)(1).
[[nodiscard]] constexpr double set_tolerance_kpa(double set_kpa_gauge) {
    return set_kpa_gauge <= kpa_from_psi(70.0) ? kpa_from_psi(2.0) : 0.03 * set_kpa_gauge;
}

/// From here on a valve with this mark may open: below it by the tolerance of its set pressure. Of a mark so
/// low that the tolerance would take nearly all of it, half.
[[nodiscard]] constexpr double may_open_from_kpa(double mark_kpa_gauge) {
    constexpr double least_share = 0.5;
    return detail::greater(mark_kpa_gauge - set_tolerance_kpa(mark_kpa_gauge), least_share * mark_kpa_gauge);
}
/// The most that a vessel may be meant to reach: less than the pressure at which its relief valve may open
/// already, and no more than its lowest rated part bears. Without a relief valve: that part.
[[nodiscard]] constexpr double bearable_kpa(double lowest_rated_kpa, std::optional<double> relief_kpa) {
    if (!relief_kpa) return lowest_rated_kpa;
    const double may_open = may_open_from_kpa(*relief_kpa);
    return may_open < lowest_rated_kpa ? may_open : lowest_rated_kpa;
}

/// Stay below this share of the set pressure, or a spring valve starts to simmer. API 520 practice, recalled.
inline constexpr double operating_fraction_max = 0.90;

/// Above this temperature no heat into a vessel that is not open to the air: at 105 degC it holds 0.2 bar of
/// steam, at 120 degC nearly one.
inline constexpr double heat_only_open_above_c = 90.0;

/// Parts per million by volume that `co2_litres` add to the air of a closed room. Gas collects low: the floor
/// of a cellar has more than the mean. Above some 50 000 ppm the mixing rule overstates; infinite in a room
/// of 0.
[[nodiscard]] constexpr double co2_in_room_ppm(double co2_litres, double room_m3) {
    return co2_litres / (room_m3 * 1000.0) * 1e6;
}
/// Limits of CO2 in air a person breathes, ppm.
inline constexpr double co2_ppm_8_hours = 5'000;            ///< OSHA PEL; HSE EH40 agrees
inline constexpr double co2_ppm_15_minutes_hse = 15'000;    ///< HSE EH40/2005
inline constexpr double co2_ppm_15_minutes_niosh = 30'000;  ///< NIOSH and ACGIH short-term limit
inline constexpr double co2_ppm_dangerous_at_once =
    40'000;  ///< NIOSH: immediately dangerous to life or health

}  // namespace gyled::brewing
