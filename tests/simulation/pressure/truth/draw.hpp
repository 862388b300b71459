#pragma once
/// What the worlds have in common: how a vessel with its beer is drawn, and what hands wait for.

#include "tests/simulation/pressure/truth/script.hpp"

namespace gyled::pressure_worlds {

using virtual_vessel::Random;

/// Wort just pitched under an open vent, with thermometer, transducer and float, every other one with a
/// barometer. `stream`: of the kind of world, so that two kinds are not the same batch.
[[nodiscard]] Script pitched(std::string_view kind, std::uint64_t seed, std::uint64_t stream);
/// Finished beer, cold, under an open vent: what the ferment left in it, or what carbonating did.
[[nodiscard]] Script finished(std::string_view kind, std::uint64_t seed, std::uint64_t stream,
                              double co2_volumes);
/// Chance for the kind's own choices.
[[nodiscard]] Random choices(std::uint64_t seed, std::uint64_t stream);
/// Finished beer, twelve hours later on gas; every other time the air above it is kept.
[[nodiscard]] Script under_gas(std::string_view kind, std::uint64_t seed, std::uint64_t stream);
/// Wort that ferments under an open vent, is chilled and put on gas, likewise.
[[nodiscard]] Script vented_to_the_end(std::string_view kind, std::uint64_t seed, std::uint64_t stream);
/// Hot wort under an open lid.
[[nodiscard]] Script boiled(std::string_view kind, std::uint64_t seed, std::uint64_t stream);

[[nodiscard]] Probe& probe(Script& script, Quantity quantity);
void leave_out(Script& script, Quantity quantity);

// What hands wait for.
using When = std::function<bool(const Moment&)>;
[[nodiscard]] When after(double hours);       ///< since the act before
[[nodiscard]] When once_still(double hours);  ///< the fermentation is over for so long
[[nodiscard]] When once_done(double share);   ///< of the fermentation
[[nodiscard]] When once_left(double points);  ///< so little gravity is left to fall

// What they do.
[[nodiscard]] Act told_to(std::string name, When when, const Told& told);  ///< and done as told
[[nodiscard]] Act cooled(When when, double celsius, double ramp_c_per_h, const Told& told);
[[nodiscard]] Act the_end(When when);
/// Gas on; unless `kept`, the head space is first filled and let off three times.
void put_gas_on(Script& script, When when, const Told& told, bool air_is_kept);

/// Gauge kPa at which beer of that temperature ends at so many volumes, as a brewer reads it off a chart.
[[nodiscard]] double charted_kpa(double volumes, double celsius, double ambient_kpa);

}  // namespace gyled::pressure_worlds
