#pragma once
/// The documents of the API: what the page, `gyle status --json` and other programs read. Values in canonical
/// units, each with its unit's name; times RFC 3339 in UTC; beside them the same in the person's units
/// ("face", "text"), so that nobody downstream converts. Pure functions.

#include "daemon/web/backend.hpp"
#include "daemon/web/json.hpp"

namespace gyled::web {

/// One vessel: id, name, at, sentence, batch (null when empty) with its stages, measured, estimates, limits,
/// alarms, facts.
[[nodiscard]] Json vessel_json(const cellar::VesselView& view, const brewing::Face& face);

/// A number: {"value", "unit", "text", "face": {"value", "unit", "decimals"}}; pressures say whether "gauge"
/// or "absolute".
[[nodiscard]] Json value_json(brewing::Quantity q, double canonical, const brewing::Face& face);

/// A belief: value, low, high, unit, text, and "interval" as text. Moments are RFC 3339; one without an end
/// is null.
[[nodiscard]] Json estimate_json(brewing::Quantity q, const brewing::Estimate& estimate,
                                 const brewing::Face& face);

/// "1.010 to 1.013": the interval in the person's unit, without naming it.
[[nodiscard]] std::string interval_text(brewing::Quantity q, double low, double high,
                                        const brewing::Face& face);

[[nodiscard]] Json alarm_json(const alarms::Transition& transition, const brewing::Face& face);
[[nodiscard]] Json fact_json(const estimation::Fact& fact, const brewing::Face& face);
[[nodiscard]] Json stage_json(const cellar::StagePlan& stage, const brewing::Face& face);
[[nodiscard]] Json batch_record_json(const cellar::BatchRecord& batch, const brewing::Face& face);
[[nodiscard]] Json sensor_json(const sensors::SensorHealth& sensor, Timestamp now, const brewing::Face& face);

/// What the person's units are called, per quantity, and which zone their clock shows.
[[nodiscard]] Json face_json(const brewing::Face& face);

}  // namespace gyled::web
