#pragma once
/// What a person types as a value, with or without a unit: "1.012", "12P", "68F", "12psi", "2.4vol", "21L".
/// Pure functions; any thread.

#include <string>
#include <string_view>

#include "daemon/base/quantity.hpp"
#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::display {

struct TypedValue {
    double canonical = 0;  ///< in the quantity's canonical unit; pressures gauge
    std::string unit;  ///< the unit that was understood: "SG", "°P", "°C", "°F", "kPa", "bar", "psi", "vol",
                       ///< "g/L" ...
};

/// A bare number is in the person's own unit; a gravity of 0.9 to 1.2 is SG all the same, for no wort has so
/// little extract to speak of. Units: gravity SG and P, °P, Plato (Brix is refused: it needs a correction for
/// alcohol); temperatures C and F; pressures, gauge, kPa, bar and psi; CO2 vol and g/L. A decimal comma is
/// taken. The error is a sentence for the person, with the likely meaning where there is one: "1023 is no
/// gravity: did you mean 1.023?"
[[nodiscard]] base::Result<TypedValue, std::string> typed_value(std::string_view text, Quantity quantity,
                                                                const Display& display);

/// What else is typed, for a batch and for sums. Canonical: L, kg, kW, m³, m above the sea, percent, degrees
/// Brix as a refractometer shows them, gravity points (0.001 SG), and a factor (Brix shown per degree Plato).
enum class Amount : std::uint8_t {
    volume,
    mass,
    power,
    room,
    elevation,
    percent,
    brix,
    points,
    correction_factor
};

/// "21L", "5.5gal" (US liquid gallons), "5kg", "12 lb", "3.5kW", "30m3", "1500ft", "90%", "12.5Bx": a bare
/// number is in the person's unit: L, kg, m³ and m for who reads litres, else US gal, lb, ft³ and ft.
[[nodiscard]] base::Result<TypedValue, std::string> typed_amount(std::string_view text, Amount amount,
                                                                 const Display& display);

}  // namespace gyled::display
