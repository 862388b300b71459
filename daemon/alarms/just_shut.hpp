#pragma once
/// A vessel that was shut a moment ago. Pure function, any thread.

#include "daemon/alarms/situation.hpp"

namespace gyled::alarms {

/// Within minutes the gauge of a vessel that has just been shut tells how busy its yeast is. Until then what
/// could be is no news; what probably is, is. Nothing waits without a gauge.
[[nodiscard]] bool gauge_is_yet_to_tell(const Situation& now);

}  // namespace gyled::alarms
