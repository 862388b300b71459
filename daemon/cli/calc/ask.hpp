#pragma once
/// From words as typed to an answer, and from that to text or JSON. Pure; any thread.

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "daemon/cli/calc/sum.hpp"

namespace gyled::cli::calc {

using Json = nlohmann::ordered_json;

/// By the argument's name.
using Typed = std::map<std::string, std::string, std::less<>>;

/// The arguments as they were understood: defaults stand in for what was left out. The error names the
/// argument.
[[nodiscard]] base::Result<Given, Complaint> understand(const Sum& sum, const Typed& typed,
                                                        const display::Display& display);

/// A line a figure, what it was made from, what was assumed, its source, and cautions. A sum that is refused
/// shows the reason first.
[[nodiscard]] std::string text_of(const Sum& sum, const Given& given, const Answer& answer, const Site& site);
/// {"calc", "given", "answer": {name: {"value", "low", "high", "unit", "text", "interval"}}, "assumed",
/// "source", "cautions", "refused" (null when nothing is against it)}; values in canonical units, pressures
/// gauge.
[[nodiscard]] Json json_of(const Sum& sum, const Given& given, const Answer& answer, const Site& site);

}  // namespace gyled::cli::calc
