#pragma once
/// What the rules may rest on: readings that are fresh, beliefs that are numbers; and how a value stands
/// against a limit. Pure functions, any thread; canonical units. "Nothing" means: nobody knows.

#include "daemon/alarms/rule.hpp"

namespace gyled::alarms {

/// The last reading, when it is a number and not older than its own `stale_after`.
[[nodiscard]] std::optional<Latest> current(const Situation& now, base::Quantity quantity);
/// What is believed with its interval, when it is believed and all three are numbers.
[[nodiscard]] std::optional<base::Estimate> belief(const Situation& now, base::Quantity quantity);
/// Its middle.
[[nodiscard]] std::optional<double> believed(const Situation& now, base::Quantity quantity);
/// The high end of what is believed: where more is the danger, a rule of safety is judged by it.
[[nodiscard]] std::optional<double> at_most(const Situation& now, base::Quantity quantity);
/// Is this quantity measured by sensors of which all have fallen silent?
[[nodiscard]] bool all_silent(const Situation& now, base::Quantity quantity);
/// Will the stage's spunding valve or regulator stop a rise from this pressure (kPa gauge) before the limit?
/// Below its set point a rise is what the person wants; past it nothing holds it back (estimation's
/// gas_path).
[[nodiscard]] bool rise_is_held(const Situation& now, double head_kpa);

/// What the vessel may be meant to reach: within its lowest rated part, and below where its relief valve may
/// open. Nothing when no rating is known.
[[nodiscard]] std::optional<double> bearable_kpa(const Situation& now);
/// Can gas neither leave nor be held at a set point? True of a sealed vessel, and of one whose pressure says
/// so (a blocked vent, a spunding valve that does not open); nothing when nobody knows the pressure.
[[nodiscard]] std::optional<bool> is_shut(const Situation& now);
/// May the vessel hold pressure: shut by its plan, or seen to hold some when it was last read? However old
/// that reading is: who falls silent under pressure has not let it off.
[[nodiscard]] bool may_hold_pressure(const Situation& now);

/// Has the relief valve been letting gas go lately? Then a pressure that falls and rises is its work.
[[nodiscard]] bool relief_is_lifting(const Situation& now);

/// Beyond above the limit, within up to limit - deadband, eased between.
[[nodiscard]] Condition above(double value, double limit, double deadband);
/// Beyond below the limit, within from limit + deadband on, eased between.
[[nodiscard]] Condition below(double value, double limit, double deadband);
/// Against a band, with a deadband that leaves room in a narrow one. Not applicable when it is no band.
[[nodiscard]] Evaluation against_band(base::Quantity quantity, const Latest& latest, const base::Band& band,
                                      double deadband);

}  // namespace gyled::alarms
