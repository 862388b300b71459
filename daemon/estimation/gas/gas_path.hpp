#pragma once
/// How can gas leave or enter the head space now? The one answer: rules, forecasts and the filter of
/// dissolved CO2 all ask here, so that a safety alarm and the number it rests on cannot disagree.
///
/// Pure functions of what is known at one moment: no memory, no hysteresis, safe on any thread. Pressures are
/// gauge kPa. A belief about valves, not a measurement of them: **the relief valve protects, this does not**.

#include <cstdint>
#include <optional>

#include "daemon/base/stage.hpp"
#include "daemon/brewing/relief.hpp"

namespace gyled::estimation::gas {

enum class GasPath : std::uint8_t {
    open,  ///< gas passes freely: an open vent, or a supply that is filling the vessel
    shut,  ///< nothing passes: beer and head space share what there is, and fermentation raises the pressure
    held,  ///< a spunding valve or regulator holds the pressure at its set point
    relieving,  ///< the relief valve lets gas go, or may: so near its mark, or to where it was seen to seat
};

/// What is known. Nothing where it is not known; what is not finite counts as not known.
struct GasPathEvidence {
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> set_kpa;     ///< set point of the spunding valve or regulator
    std::optional<double> head_kpa;    ///< present pressure
    std::optional<double> rise_kpa;    ///< by how much it rose over the last few minutes
    std::optional<double> relief_kpa;  ///< mark of the relief valve
    std::optional<double> limit_kpa;   ///< what the weakest part bears
    /// From here on the relief valve was seen to work lately: where it seats (relief.hpp).
    std::optional<double> relief_seats_kpa = {};
};

/// A tolerance: so many kPa, or this share of the set point where that is more.
struct Tolerance {
    double kpa;
    double share;
    [[nodiscard]] constexpr double of(double set_kpa) const {
        return share * set_kpa > kpa ? share * set_kpa : kpa;
    }
};

struct GasPathParameters {
    double vent_holds_kpa = 5.0;  ///< kPa in a "vented" vessel from which on its vent is blocked; sensor
                                  ///< zeros and weather stay below
    Tolerance spunding_below{4.5, 0.05};  ///< under its set point by more: the spunding valve is shut; half
                                          ///< its play (2 to 6 kPa between opening and shutting, common
                                          ///< practice) and a transducer's zero are less
    Tolerance supply_below{3.0, 0.03};    ///< under its set point by more: the supply is shut off or empty; a
                                          ///< regulator droops with flow (chosen on tests/simulation)
    Tolerance above{5.0, 0.10};    ///< over the set point by more: nothing holds it there; cheap valves
                                   ///< overshoot by less (common practice)
    double supply_rise_kpa = 0.3;  ///< kPa within a few minutes: below the set point and rising by more, gas
                                   ///< is flowing in; above a transducer's noise
    double relief_seats_within_kpa = 1.0;  ///< below the seat by less: two readings' noise
    double working_share_max =
        brewing::operating_fraction_max;  ///< of the limit: a set point above leaves no room for its
                                          ///< tolerance (API 520 practice for spring valves, recalled)
};

[[nodiscard]] GasPath gas_path(const GasPathEvidence& evidence, const GasPathParameters& parameters = {});

/// Will a valve or regulator stop a rise of the pressure before the limit? True from below the set point up
/// to its tolerance, where the set point is known and leaves room below `limit_kpa`; false once the relief
/// valve may be lifting, and where anything that it takes to tell is not known.
[[nodiscard]] bool rise_ends_at_set_point(const GasPathEvidence& evidence,
                                          const GasPathParameters& parameters = {});

}  // namespace gyled::estimation::gas
