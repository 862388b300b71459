#pragma once
/// The shapes that a fermentation follows, and what to expect of a culture before anything was measured.
///
/// Hours and degC; extract in degrees Plato, or any scale, as long as one curve keeps to one. NaN in, NaN
/// out.

#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "daemon/base/stage.hpp"
#include "daemon/base/units.hpp"

namespace gyled::brewing {

using base::gas_constant;
using base::kelvin;
using base::Culture;
using base::Band;

/// The four-parameter logistic: P(t) = end + drop / (1 + exp(rate (t - midpoint))), rate above 0.
/// Source: ASBC Yeast-14; Speers, Rogers and Smith, J. Inst. Brew. 109 (2003) 229. Real curves often have a
/// slower tail, so do not trust `end` before three quarters of the drop, nor at all in a mixed culture.
struct Logistic {
    double end;
    double drop;
    double rate_per_hour;
    double midpoint_hours;

    [[nodiscard]] double at(double hours) const {
        return end + drop / (1.0 + std::exp(rate_per_hour * (hours - midpoint_hours)));
    }
    /// The fall per hour at the midpoint, the steepest: drop * rate / 4.
    [[nodiscard]] constexpr double fastest_per_hour() const { return drop * rate_per_hour / 4.0; }
    /// When only `gap` above the end is left: midpoint + ln(drop / gap - 1) / rate. NaN for a gap of the drop
    /// or more; +infinity for a gap of 0.
    [[nodiscard]] double hours_until_gap(double gap) const {
        return midpoint_hours + std::log(drop / gap - 1.0) / rate_per_hour;
    }
};

/// The modified Gompertz curve of what has fermented: total exp(-exp(fastest e / total (lag - t) + 1)).
/// Source: Zwietering et al., Appl. Environ. Microbiol. 56 (1990) 1875. Asymmetric: a quicker start than end.
struct Gompertz {
    double total;
    double fastest_per_hour;
    double lag_hours;

    [[nodiscard]] double at(double hours) const {
        return total *
               std::exp(-std::exp(fastest_per_hour * std::numbers::e / total * (lag_hours - hours) + 1.0));
    }
};

/// How many times faster at `to_c` than at `from_c`, by a Q10 (2 to 3 is common practice): Q10^((to - from) /
/// 10).
[[nodiscard]] inline double rate_factor_q10(double q10, double from_c, double to_c) {
    return std::pow(q10, (to_c - from_c) / 10.0);
}
/// The same by an activation energy in kJ/mol: exp[Ea / R (1 / T1 - 1 / T2)]. 55 kJ/mol is a Q10 of 2.2 near
/// 15 degC. Both hold only where the yeast is well: a few degrees beyond a culture's range it stops instead.
[[nodiscard]] inline double rate_factor_arrhenius(double activation_kj_per_mol, double from_c, double to_c) {
    return std::exp(activation_kj_per_mol * 1000.0 / gas_constant *
                    (1.0 / kelvin(from_c) - 1.0 / kelvin(to_c)));
}

/// Standard error of a least-squares slope through `n` evenly spaced readings over `span`, each with white
/// noise `sigma`: sigma sqrt(12 (n - 1) / (n (n + 1))) / span, in sigma's unit per span's unit. A floating
/// body drifts, so the truth is worse. NaN for n below 1.
[[nodiscard]] inline double slope_standard_error(double sigma, double n, double span) {
    return sigma * std::sqrt(12.0 * (n - 1.0) / (n * (n + 1.0))) / span;
}

/// Terminal gravity: a slope flatter than this many SG per day, and with 95 % confidence flatter than the
/// second. A design choice; 48 hours of hourly readings with 0.0005 noise resolve it. Finished must stay
/// revocable: mixed cultures and dry hops restart after weeks.
inline constexpr double stable_slope_sg_per_day = 0.0005;
inline constexpr double stable_slope_bound_sg_per_day = 0.001;

/// How well a limit of attenuation can be known, in percent of attenuation, near 84 %: within one laboratory
/// and between laboratories. Source: EBC collaborative trial, Hagen and Schwarz, Monatsschr. Brauwiss. 52
/// (1999) 94.
inline constexpr double limit_attenuation_r95_percent = 0.5;
inline constexpr double limit_attenuation_R95_percent = 2.9;

/// Diacetyl rest, common practice: begin with this many gravity points left, this warm, for this long.
inline constexpr double diacetyl_rest_points_left_min = 2.0;
inline constexpr double diacetyl_rest_points_left_max = 5.0;
inline constexpr double diacetyl_rest_c_min = 18.0;
inline constexpr double diacetyl_rest_c_max = 20.0;
inline constexpr double diacetyl_rest_hours = 48.0;

/// What to expect of a culture before anything was measured. All ranges are common practice without a better
/// source; the rates follow from the duration of the primary (rate = 5.89 / hours, the 5 to 95 % time of a
/// logistic), and are larger once the lag is taken out.
struct CulturePrior {
    Culture culture;
    Band temperature_c;
    Band primary_days;
    Band apparent_attenuation_percent;
    std::optional<Band> logistic_rate_per_hour;  ///< nothing where a logistic does not describe it
};

// clang-format off
inline constexpr std::array culture_priors{
    CulturePrior{Culture::ale,   {18, 22}, {3, 7},   {70, 80},  Band{0.035, 0.08}},
    CulturePrior{Culture::lager, {9, 13},  {7, 14},  {75, 82},  Band{0.018, 0.035}},
    // Diastatic and saison-type yeasts (20 to 30 degC, 5 to 21 d with a long tail, 85 to 95 %) belong here too: a slow
    // second phase after an ordinary first one, weeks to months in all, and attenuation may pass 100 %.
    CulturePrior{Culture::mixed, {15, 30}, {5, 90},  {85, 102}, std::nullopt},
};
// clang-format on

[[nodiscard]] constexpr const CulturePrior& prior_of(Culture culture) {
    for (const CulturePrior& prior : culture_priors)
        if (prior.culture == culture) return prior;
    return culture_priors.back();  // the most cautious one
}

}  // namespace gyled::brewing
