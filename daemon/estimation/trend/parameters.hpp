#pragma once
/// What the short-run trends take for granted: one line each with unit, meaning and reason. "Simulation":
/// chosen on tests/simulation.

#include <array>
#include <chrono>
#include <cstddef>

#include "daemon/base/time.hpp"

namespace gyled::estimation::trend {

// clang-format off

struct PressureTrendParameters {
    base::Duration memory = std::chrono::minutes{130};  ///< a little more than the longest window
    std::size_t points_max = 400;          ///< kept: a flood is thinned to one each 20 s
    base::Duration silence_max = std::chrono::minutes{15};  ///< what lies before a longer silence says nothing of the rate now
    struct Window {
        base::Duration span;               ///< looked back over
        double certain_sigmas;             ///< by which the rate must differ from zero
    };
    /// A short window is asked each minute, so chance gets many tries: it must be surer than a long one (simulation).
    std::array<Window, 4> windows{{{std::chrono::minutes{4}, 6.0}, {std::chrono::minutes{12}, 5.0},
                                   {std::chrono::minutes{40}, 4.0}, {std::chrono::minutes{120}, 4.0}}};
    double window_covered = 0.6;           ///< share of a window that readings span
    std::size_t window_count_min = 4;      ///< readings in it
    double outlier_scales = 4.0;           ///< beyond so many robust sigmas a reading is left out: one knock must not ring
    int passes = 3;                        ///< of leaving out; the second settles it, the third is for the sigma
    double noise_floor_kpa = 0.1;          ///< transducers are read to about 0.1 kPa at best, however quiet they look
    double rate_change = 0.2;              ///< relative, one sigma an hour ahead, growing with the root of time: yeast wakes and tires, beer takes up its share (simulation)
    double rate_change_max = 0.5;          ///< and no more
    std::size_t left_count = 3;            ///< so many newest readings, all off a line to the side where it does not lead: it has
                                           ///< ended, for gas was let off; one or two are a knock
    base::Duration rise_shows_after = std::chrono::minutes{40};  ///< unbroken: then a rise of 0.3 kPa/h is certain (4 sigma of the noise floor)
    double taught_rise_c = 15;             ///< degC: a shorter heat-up tells losses and heater badly apart
    double horizon_h = 48.0;               ///< a limit farther away is no forecast
    int halvings = 30;                     ///< in search of the moment: below a second in two days
    base::Duration before_from = std::chrono::minutes{2};    ///< "a while ago" ends so long ago: a vacuum takes minutes
    base::Duration before_until = std::chrono::minutes{32};  ///< and began so long ago: half of it outlasts any fall that is news
    std::size_t before_count_min = 3;      ///< readings in it: a median of fewer is no median
};

struct HeatBalanceParameters {
    double vessel_wh_per_k = 0.9;          ///< Wh/K: 6.5 kg of steel at 0.5 kJ/(kg K), warm with the liquor (common practice at 20 to 30 L)
    /// Losses that are thinkable, all alike: W/K through wall and jacket, and m2 of liquor that steams, from a shut lid to an
    /// open vessel. At 60 degC they come to 3 to 18 W/K in all (published range 9 +- 4).
    std::array<double, 5> wall_w_per_k{2.0, 4.0, 6.0, 8.0, 11.0};
    std::array<double, 4> open_m2{0.0, 0.015, 0.035, 0.06};
    double steam_w_per_m2_kpa = 110;       ///< W/(m2 kPa): still air takes 7 W/(m2 K) (textbook), and by Bowen's ratio 1 / 0.066 times that per kPa of vapour
    std::array<double, 3> usual_litres{15, 26, 45};  ///< where the volume is not known
    double cooling_min_per_h = 0.02;       ///< 1/h: a jacket of constant power
    double cooling_max_per_h = 12;         ///< 1/h: a coil in 10 L
    double cooling_step = 1.35;            ///< from one to the next: finer changes no interval (simulation)
    double room_c = 20;                    ///< degC around the vessel
    double supply_share = 0.985;           ///< of its mark that a heater gives: cable and mains lie below more often than above
    double supply_sigma = 0.04;            ///< relative, 1 sigma: a heater's mark is good to 5 %, and mains to +6 and -10 % of 230 V (EN 50160, from memory)
    double power_sigma = 0.012;             ///< relative to the rate, 1 sigma: mains voltage wanders (from memory)
    double fill_sigma = 0.03;              ///< relative: litres as told, by a sight glass or a marked paddle (common practice)
    double fill_again_sigma = 0.02;        ///< the same hand and mark again: they err alike
    double mains_by_day = 0.02;            ///< relative: 2 % of power are 1 % of voltage, from one day to the next (from memory)
    double forgotten_share = 0.15;         ///< of belief in the losses, with each heat-up: another lid, another room
    double told_at_c = 60;                 ///< degC at which a person is told of the losses
};

struct HeatingTrendParameters {
    base::Duration memory = std::chrono::minutes{60};   ///< whose bend is carried on
    std::size_t points_max = 300;          ///< kept: one each 12 s
    base::Duration silence_max = std::chrono::minutes{10};  ///< a longer silence starts a new curve
    double step_max_c = 2.5;               ///< degC: a larger step (dough-in, transfer) starts a new curve
    base::Duration rate_window = std::chrono::minutes{15};  ///< over which the rate is told
    std::size_t rate_count_min = 4;        ///< readings in it
    double rate_span_min_h = 0.04;         ///< over at least 2.4 minutes
    double noise_floor_c = 0.06;           ///< degC: a digital probe's step, 0.0625 at 12 bit
    double there_c = 0.1;                  ///< degC from the target: it is there
    double certain_sigmas = 3.0;           ///< by which it must move towards the target
    double speed_min_per_h = 0.3;          ///< degC per h: slower is drift of the room
    /// Spans looked back over: the longest through which one curve goes, so that the element's warming up, a change of power
    /// and a paddle that stirred stay out.
    std::array<base::Duration, 6> spans{std::chrono::minutes{60}, std::chrono::minutes{40}, std::chrono::minutes{25},
                                        std::chrono::minutes{15}, std::chrono::minutes{9}, std::chrono::minutes{5}};
    double one_curve_sigmas = 3.0;         ///< by which the mean of the first or last quarter may lie off it ...
    double one_curve_c = 0.05;             ///< ... and degC beside: layers that come and go
    base::Duration alike_for = std::chrono::seconds{90};  ///< readings nearer than that share their error: layers, the probe's lag (simulation)
    double taught_rise_c = 15;             ///< degC: a shorter heat-up tells losses and heater badly apart
    double chilled_min_c = 1.0;            ///< degC within the rate's window: less is a room's drift, and its end nobody's coolant
    double levels_off_within_c = 4.0;      ///< degC: a wider interval of the end is no word about the coolant
    double horizon_h = 48.0;               ///< farther away is no forecast
    double fill_speed_min_per_h = 10;      ///< degC per h: slower, a heater that is on half of the time looks like more liquor
    double heater_share = 0.85;            ///< of the heater's power that warms the liquor: losses and the vessel itself (common practice)
    double heater_share_low = 0.65;        ///< a bare vessel, or a supply below its mark
    double heater_share_high = 1.0;        ///< no heater gives more than its mark
};

struct DoughInParameters {
    base::Duration memory = std::chrono::minutes{5};  ///< grain goes in over 1 to 6 minutes (common practice), and open liquor cools by 1 degC within it
    std::size_t points_max = 60;           ///< kept: one each 5 s
    std::size_t count_min = 5;             ///< readings, three before and two after
    std::size_t count_before = 3;          ///< the warmest, whose middle is the liquor
    double liquor_min_c = 45;              ///< degC: no liquor for a mash is colder
    double fall_min_c = 2;                 ///< degC: 5 L/kg with warm grain falls by 4 (common practice), a stirred layer by 1
    double fall_before_c = 1;              ///< degC, of the reading before: one alone is a knock
    double fall_max_c = 20;                ///< degC: a deeper fall is a probe in the air
};

struct TightnessParameters {
    base::Duration settling = std::chrono::minutes{15};  ///< gas that has been compressed is warm, and a wall takes it down within minutes
    double pressure_min_kpa = 20;          ///< gauge: below it a hole hardly shows
    double rise_kpa = 3;                   ///< above the beginning, its warming taken out: somebody put gas in; transducers and weather stay below
    std::size_t count_min = 20;            ///< readings, to see their scatter
    base::Duration span_min = std::chrono::hours{1};     ///< shorter, a draught on the wall decides
    double drift_kpa = 0.2;                ///< 1 sigma over a test: 0.04 % of a 5 bar span (common practice, once warm)
    double warmth_c = 0.3;                 ///< 1 sigma: how much the gas's warmth has changed beside the probe's
    double weather_kpa_per_h = 0.045;      ///< 1 sigma, of the air outside over half a day: some 4 to 5 hPa in 12 h in the westerlies (from memory)
};

// clang-format on

}  // namespace gyled::estimation::trend
