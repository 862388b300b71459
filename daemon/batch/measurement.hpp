#pragma once
/// What a person read from an instrument, weighed before it is noted: a number that cannot be what it claims
/// to be is refused with the likely meaning, and so is one that nothing would use. Pure functions; canonical
/// units.

#include <optional>
#include <string>

#include "daemon/batch/record.hpp"

namespace gyled::batch {

/// Why this measurement is not noted, in words; nothing when it may be. `record`: the running batch; `now`: a
/// measurement is not of the future (a minute is borne: clocks differ).
[[nodiscard]] std::optional<std::string> objection_to(const HandMeasurement& measurement,
                                                      const Record& record, base::Timestamp now);

/// ": did you mean 1.023?" for 1023 and 23; a full stop when nothing is likely.
[[nodiscard]] std::string likely_gravity(double value);

}  // namespace gyled::batch
