#pragma once
/// A vessel that was shut a while ago, and what it could come to. Pure functions, any thread; kPa gauge.

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/situation.hpp"

namespace gyled::alarms {

/// Within minutes the gauge of a vessel that has just been shut tells how busy its yeast is. Until then what
/// could be is no news; what probably is, is. Nothing waits without a gauge.
[[nodiscard]] bool gauge_is_yet_to_tell(const Situation& now);

/// How an outlook is told whose unsafe end passes the limit: high, or medium, which asks for a measurement,
/// where that is improbable. While the gauge of a vessel that was shut within a day still narrows it, nobody
/// is called for less than three in ten; otherwise for one in ten.
[[nodiscard]] Priority outlook_urgency(const Situation& now, const base::Estimate& end_kpa, double limit_kpa);

}  // namespace gyled::alarms
