#pragma once
/// Small helps that several rules share.

#include "daemon/alarms/rule.hpp"

namespace gyled::alarms {

/// The last reading, when it is a number and fresh: not older than the slowest sensor of this quantity may be
/// silent (45 min for one read by hand). Nothing means: nobody knows.
[[nodiscard]] std::optional<Latest> current(const Situation& now, base::Quantity quantity);
/// What is believed, when it is believed and a number.
[[nodiscard]] std::optional<double> believed(const Situation& now, base::Quantity quantity);
/// Is this quantity measured by sensors of which all have fallen silent?
[[nodiscard]] bool all_silent(const Situation& now, base::Quantity quantity);

/// Beyond above the limit, within below limit - deadband, eased between.
[[nodiscard]] Verdict above(double value, double limit, double deadband);
[[nodiscard]] Verdict below(double value, double limit, double deadband);
/// Against a band, with a deadband that leaves room in a narrow one. `dropped` when it is no band.
[[nodiscard]] Finding against_band(const Latest& latest, const base::Band& band, double deadband);

/// The vessel's name for people.
[[nodiscard]] std::string who(const Scene& scene);
/// "beer temperature", "mash out": a name for people.
[[nodiscard]] std::string spoken(std::string_view name);
/// The name shortened as far as needed for the whole to have at most 60 characters (UTF-8).
[[nodiscard]] std::string headline(std::string name, std::string_view rest);
/// "Lasted 3 h 10 min, at worst 21.4 °C."
[[nodiscard]] std::string lasted_and_worst(const Story& story, base::Quantity quantity);

}  // namespace gyled::alarms
