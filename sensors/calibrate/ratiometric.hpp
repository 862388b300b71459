#pragma once
/// Transducers whose output is a part of their supply: 10 % of it at zero, 90 % at full scale.

#include <optional>

namespace gyled::sensors {

/// The measured value, in the unit of `full_scale`:
///     p = (V / Vs - 0.1) / 0.8 x FS
/// Nothing below 5 % or above 95 % of the supply (0.25 V and 4.75 V of 5 V): no healthy transducer gives
/// that, but a broken wire, a short or a value far outside its range does. Source: common practice for
/// 0.5-4.5 V transducers.
[[nodiscard]] std::optional<double> ratiometric(double volts, double supply_volts, double full_scale);

}  // namespace gyled::sensors
