#pragma once
/// The one table of units: every spelling we read, what it measures, and how it becomes the unit used inside.
/// The spelling decides; the size of a number never does.

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "daemon/base/quantity.hpp"

namespace gyled::sensors {

/// What a unit measures. Each has one base unit, the canonical one of its quantities: degC, kPa, SG, V, dBm,
/// %; and ohm, which no quantity has but a transducer's payload may.
enum class Dimension : std::uint8_t {
    temperature,
    pressure,
    gravity,
    voltage,
    signal,
    percent,
    resistance,
    none
};

/// One row of the table. `name` is the spelling we use ourselves, UCUM-like ASCII.
struct Unit {
    std::string_view name;
    Dimension dimension;
    double (*to_base)(double);
    std::array<std::string_view, 5>
        aliases;  ///< SenML (RFC 8428, RFC 8798), UCUM and everyday spellings; may be empty
};

[[nodiscard]] std::span<const Unit> all_units();
[[nodiscard]] Dimension dimension_of(base::Quantity q);
/// The row with this name or alias, or nothing. An alias has a meaning only within a dimension: "C" is a
/// Celsius temperature here, though elsewhere it is a coulomb.
[[nodiscard]] const Unit* find_unit(Dimension dimension, std::string_view text);
/// The dimension's base unit, whose conversion changes nothing.
[[nodiscard]] const Unit& base_unit(Dimension dimension);

}  // namespace gyled::sensors
