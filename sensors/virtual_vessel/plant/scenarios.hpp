#pragma once
/// Batches worth living through, each a different one for each seed.

#include <optional>
#include <span>
#include <string_view>

#include "sensors/virtual_vessel/plant/scenario.hpp"

namespace gyled::virtual_vessel {

// Fermentations.
[[nodiscard]] Scenario ale(std::uint64_t seed);
[[nodiscard]] Scenario lager(std::uint64_t seed);            ///< with a ramp to a diacetyl rest, then a crash
[[nodiscard]] Scenario mixed_long_tail(std::uint64_t seed);  ///< ten weeks
[[nodiscard]] Scenario stuck_at_half_way(std::uint64_t seed);
[[nodiscard]] Scenario early_crash_and_rewarm(std::uint64_t seed);
[[nodiscard]] Scenario late_creep(std::uint64_t seed);
// Gas.
[[nodiscard]] Scenario spunded(std::uint64_t seed);         ///< vented, then a spunding valve at 100 kPa
[[nodiscard]] Scenario sealed_ferment(std::uint64_t seed);  ///< the last points shut in
[[nodiscard]] Scenario set_and_wait(std::uint64_t seed);    ///< finished cold beer on a regulator
[[nodiscard]] Scenario fast_carbonation(
    std::uint64_t seed);  ///< high pressure for a day, then a shut-in test
[[nodiscard]] Scenario leaking_lid(std::uint64_t seed);
[[nodiscard]] Scenario chiller_failure(std::uint64_t seed);  ///< of a sealed, carbonated, cold vessel
// Instruments.
[[nodiscard]] Scenario sensor_outages(std::uint64_t seed);
[[nodiscard]] Scenario biased_sensors(std::uint64_t seed);
[[nodiscard]] Scenario drifting_sensors(std::uint64_t seed);
[[nodiscard]] Scenario outliers(std::uint64_t seed);
[[nodiscard]] Scenario wrong_clock(std::uint64_t seed);
// From strike water on.
[[nodiscard]] Scenario brew_day(std::uint64_t seed);     ///< strike to pitch
[[nodiscard]] Scenario whole_batch(std::uint64_t seed);  ///< strike to serve

/// The demo's: carbonated by its twelfth day, when the chiller has been out of order for a day and the
/// pressure rises.
[[nodiscard]] Scenario twelve_days(std::uint64_t seed);

struct NamedScenario {
    std::string_view name;  ///< with hyphens: "stuck-at-half-way"
    std::string_view says;  ///< one line for people
    Scenario (*make)(std::uint64_t seed);
};
[[nodiscard]] std::span<const NamedScenario> all_scenarios();
[[nodiscard]] std::optional<Scenario> scenario_named(std::string_view name, std::uint64_t seed);

/// What the brewer would write as expected_final_gravity: where an untroubled batch would end, wrong by up to
/// 0.002.
[[nodiscard]] double expected_final_gravity(const Scenario& scenario);

}  // namespace gyled::virtual_vessel
