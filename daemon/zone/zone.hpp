#pragma once
/// Time zones: what clocks on a wall show, and which moment a clock meant. Names are those of the IANA time
/// zone database, as in "Europe/Lisbon", from the machine's tzdata. Thread: any.

#include <string>

#include "daemon/base/time.hpp"

namespace gyled::zone {

using base::Duration;
using base::Timestamp;
/// What a clock on the wall shows, without saying where the wall stands.
using LocalTime = std::chrono::local_time<Duration>;

/// Does this machine know it?
[[nodiscard]] bool known(const std::string& name);

/// What clocks show there at that moment. Throws std::runtime_error for a zone that is not known.
[[nodiscard]] LocalTime shown_at(Timestamp t, const std::string& name);

/// The moment at which clocks showed `local` there. When they showed it twice (clocks went back), or never
/// (they went forward, and the clock that says it did not), two moments are meant: of these the latest that
/// is not after `not_after`; of two later ones the earlier. Throws std::runtime_error for a zone that is not
/// known.
[[nodiscard]] Timestamp moment_of(LocalTime local, const std::string& name, Timestamp not_after);

}  // namespace gyled::zone
