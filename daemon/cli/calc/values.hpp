#pragma once
/// The kinds of values that sums take and give: how each is typed, shown, and named in JSON. Pure; any
/// thread.

#include <cstdint>
#include <string>
#include <string_view>

#include "daemon/base/estimate.hpp"
#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::cli::calc {

using display::Display;

enum class Kind : std::uint8_t {
    temperature,
    warming,  ///< a difference of temperatures
    warming_per_minute,
    gravity,
    extract,  ///< degrees Plato
    head_pressure,
    rating,  ///< of a part, or of a relief valve: a gauge pressure above 0
    carbonation,
    volume,
    mass,
    sugar_per_litre,
    power,
    room,
    gas_volume,
    elevation,
    length,
    percent,
    alcohol,  ///< percent
    ppm,
    brix,
    points,
    correction_factor,
    minutes,
    word,  ///< one of the argument's words
};

/// The canonical unit's name: "degC", "SG", "kPa" (gauge), "vol", "L", "kg", "g/L", "min" ...
[[nodiscard]] std::string_view unit(Kind kind);

/// What was typed, in the canonical unit; the error is a sentence.
[[nodiscard]] base::Result<double, std::string> read(Kind kind, std::string_view typed,
                                                     const Display& display);

/// "72.4 °C" in the person's unit.
[[nodiscard]] std::string text(Kind kind, double canonical, const Display& display);
/// "71.4 to 73.4", without naming the unit.
[[nodiscard]] std::string interval_text(Kind kind, const base::Estimate& value, const Display& display);

}  // namespace gyled::cli::calc
