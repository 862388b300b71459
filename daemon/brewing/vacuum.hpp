#pragma once
/// What a vessel bears from outside: sheet that holds four bar from within may buckle under a tenth of one
/// from outside. kPa gauge.

namespace gyled::brewing {

/// Of a vessel whose maker gives no vacuum rating, which promises none: the doubt of a transducer's zero,
/// half a percent of a span of 4 bar (common practice). Below it stands a vacuum.
inline constexpr double unrated_vacuum_kpa = -2.0;

/// From here down is beyond what it bears. `rated_kpa`: of its plate; not below 0: the maker gives none. NaN
/// counts as none.
[[nodiscard]] constexpr double bearable_vacuum_kpa(double rated_kpa) {
    return rated_kpa < 0 ? rated_kpa : unrated_vacuum_kpa;
}

}  // namespace gyled::brewing
