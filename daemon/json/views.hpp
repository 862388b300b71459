#pragma once
/// The documents of the API: what the page, `gyle status --json` and other programs read. Values in canonical
/// units, each with its unit's name; times RFC 3339 in UTC; beside them the same in the person's units
/// ("display", "text"), so that nobody downstream converts. Pure functions.

#include "daemon/base/impairment.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/view.hpp"
#include "daemon/display/display.hpp"
#include "daemon/json/document.hpp"
#include "sensors/health/health.hpp"
#include "sensors/intake.hpp"

namespace gyled::json {

using base::Timestamp;

/// One vessel: id, name, at, sentence, batch (null when empty) with its stages, measured, estimates, limits,
/// alarms, facts.
[[nodiscard]] Json vessel_json(const cellar::VesselView& view, const display::Display& display);

/// A number: {"value", "unit", "text", "display": {"value", "unit", "decimals"}}; pressures say whether
/// "gauge" or "absolute".
[[nodiscard]] Json value_json(base::Quantity q, double canonical, const display::Display& display);

/// A belief: value, low, high, unit, text, and "interval" as text. Moments are RFC 3339; one without an end
/// is null.
[[nodiscard]] Json estimate_json(base::Quantity q, const base::Estimate& estimate,
                                 const display::Display& display);

/// "1.010 to 1.013": the interval in the person's unit, without naming it.
[[nodiscard]] std::string interval_text(base::Quantity q, double low, double high,
                                        const display::Display& display);

[[nodiscard]] Json alarm_json(const alarms::Transition& transition, const display::Display& display);
/// What of the watch does not work, each with what to do first.
[[nodiscard]] Json impairments_json(const base::Impairments& impairments, const display::Display& display);
/// Alarms that stand, each also as it stands now, with what to do first.
[[nodiscard]] Json standing_json(const std::vector<cellar::StandingAlarm>& alarms,
                                 const display::Display& display);
[[nodiscard]] Json fact_json(const estimation::Fact& fact, const display::Display& display);
/// [{"severity", "stage" (null: all of it), "key", "text", "fits" (in the key's unit, or null)}]
[[nodiscard]] Json findings_json(const batch::Findings& findings);
[[nodiscard]] Json stage_json(const batch::StagePlan& stage, const display::Display& display);
[[nodiscard]] Json batch_record_json(const batch::Record& batch, const display::Display& display);
/// `silent_after`: the core's answer for this sensor, configured or learnt.
[[nodiscard]] Json sensor_json(const sensors::SensorHealth& sensor, base::Duration silent_after,
                               Timestamp now, const display::Display& display);

/// What the person's units are called, per quantity, and which zone their clock shows.
[[nodiscard]] Json display_json(const display::Display& display);

}  // namespace gyled::json
