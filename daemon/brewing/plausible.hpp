#pragma once
/// What wort and beer can be at all: a number beyond was mistyped, or meant in another unit. Pure functions;
/// safe on any thread. NaN is never plausible.

#include <optional>

#include "daemon/base/stage.hpp"

namespace gyled::brewing {

/// SG 20/20: from bone dry to a wort of 40 degrees Plato (trade). Both ends belong to it.
inline constexpr base::Band plausible_gravity{0.980, 1.180};
/// Volumes of CO2: more is not served from any vessel (trade).
inline constexpr base::Band plausible_co2_volumes{0.0, 6.0};

/// kPa gauge: from a perfect vacuum to 10 bar, far above any vessel's rating.
inline constexpr base::Band plausible_head_pressure_kpa{-100.0, 1000.0};
/// Times that a head space is filled and let off in one go: more nobody does (common practice: 3 to 10).
inline constexpr base::Band plausible_purge_cycles{1.0, 50.0};

[[nodiscard]] constexpr bool is_plausible_head_pressure(double kpa_gauge) {
    return kpa_gauge >= plausible_head_pressure_kpa.low && kpa_gauge <= plausible_head_pressure_kpa.high;
}
[[nodiscard]] constexpr bool is_plausible_purge(double cycles) {
    return cycles >= plausible_purge_cycles.low && cycles <= plausible_purge_cycles.high;
}
[[nodiscard]] constexpr bool is_plausible_gravity(double sg) {
    return sg >= plausible_gravity.low && sg <= plausible_gravity.high;
}
[[nodiscard]] constexpr bool is_plausible_co2(double volumes) {
    return volumes >= plausible_co2_volumes.low && volumes <= plausible_co2_volumes.high;
}

/// Gravity is often spoken in thousandths: what 1023 ("ten twenty-three") and 23 (points) probably mean, SG.
struct LikelyGravity {
    double sg = 0;
    bool may_be_plato = false;  ///< 23 may as well be degrees Plato; 1023 cannot
};

/// Nothing when `typed` is no such number; a number up to 2 is a gravity, or none, as it stands.
[[nodiscard]] constexpr std::optional<LikelyGravity> likely_gravity(double typed) {
    constexpr double thousandth = 1e-3;
    if (is_plausible_gravity(typed * thousandth)) return LikelyGravity{typed * thousandth, false};
    if (typed > 2 && is_plausible_gravity(1 + typed * thousandth))
        return LikelyGravity{1 + typed * thousandth, true};
    return std::nullopt;
}

}  // namespace gyled::brewing
