#pragma once
/// Transducers whose output is a part of their supply: 10 % of it at zero, 90 % at full scale.

#include <optional>

namespace gyled::sensors {

/// Shares of the supply. Common practice for 0.5-4.5 V transducers on 5 V.
struct RatiometricScale {
    double zero = 0.1;    ///< at no pressure: 0.5 V
    double full = 0.9;    ///< at full scale: 4.5 V
    double least = 0.05;  ///< below, 0.25 V: a broken wire
    double most = 0.95;   ///< above, 4.75 V: a short, or far beyond its range
};

/// The measured value, in the unit of `full_scale`:
///     p = (V / Vs - zero) / (full - zero) x FS
/// Nothing outside `least` to `most`: no healthy transducer gives that. NaN gives nothing. `supply_volts` is
/// above zero.
[[nodiscard]] std::optional<double> ratiometric(double volts, double supply_volts, double full_scale,
                                                const RatiometricScale& scale = {});

}  // namespace gyled::sensors
