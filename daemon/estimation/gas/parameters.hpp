#pragma once
/// What the filter of dissolved CO2 takes for granted: one line each with unit, meaning and reason. Pressures
/// kPa; CO2 in volumes. "Simulation": chosen on tests/simulation, and no better founded than that. How gas
/// can leave or enter stands in gas_path.hpp.

#include <array>
#include <cstddef>
#include <cstdint>

#include "daemon/brewing/solubility.hpp"

namespace gyled::estimation::gas {

// clang-format off

/// What is guessed before the first reading, one draw a particle.
struct GasPriorParameters {
    std::size_t particles = 160;           ///< enough for the tails of seven unknowns; cost goes with it
    double still_sigmas = 1.15;            ///< of a still head space's kLa from its middle to the ends in brewing/dissolution.hpp: "usual" is taken as three vessels in four
    double stirring_most = 0.25;           ///< laminar natural convection carries with the fourth root of the difference (Sh ~ Ra^1/4), a stagnant film not at all: in between
    double stirring_from = 0.03;           ///< volumes: nearer to equilibrium, or beyond it, nothing stirs any less
    double stone = 0.015;                  ///< probability that the beer is gassed through a stone or rocked: one vessel in 67 (simulation)
    double stone_log_sigma = 0.7;          ///< of its kLa: a factor of two (brewing/dissolution.hpp: 0.12 to 1.5 per hour)
    double factor = brewing::beer_factor_typical;  ///< of water's solubility: the mean of the printed chart
    double factor_sigma = 0.028;           ///< +-0.05 at two sigmas (brewing/solubility.hpp): the printed chart lies within 0.935 to 0.97, a lager was measured near 0.90; and 0.012 for the water, of which IAPWS G7-04 holds 4 % less than Weiss near freezing
    double factor_min = 0.86;              ///< no beer was measured lower
    double factor_max = 1.02;              ///< water, and what its constant is off
    double factor_turns_at_c = 8.0;        ///< degC: the middle of the printed chart, whose mean the factor is
    double factor_slope = 0.0007;          ///< per degree: Weiss (1974) alone falls faster with warmth than Carroll (1991, +0.18 % a degree from 3 to 25) and IAPWS G7-04 (+0.14); the mean of the three
    double factor_slope_sigma = 0.0009;    ///< per degree: half of what these sources differ
    double purged = 0.9;                   ///< probability that a shut vessel into which finished beer came was purged (common practice)
    double air_purged_kpa = 1.0;           ///< left then, the mean of an exponential: a per cent of what was there (common practice)
    double air_unpurged_kpa = 15.0;        ///< else, likewise: gas that beer gave off has thinned it
    double stood_h_least = 24.0;           ///< behind an open vent air takes the place of what the beer takes up; beer needs so long to be cold (common practice)
    double stood_h_most = 96.0;            ///< and is watched no later (common practice)
    double purge_mixes = 0.85;             ///< of the dilution that perfect mixing gives each cycle (from memory: gas enters and leaves through one port)
    double purge_mixes_sigma = 0.1;        ///< likewise
    double head_share_min = 0.02;          ///< of the vessel: no smaller head space is believed, whatever the volumes say
    double beer_volume_sigma = 0.02;       ///< of the beer: how well a volume is read; it sets the doubt of the head space
    double head_sigma_min = 0.02;          ///< relative, of the head space
    double head_sigma_max = 0.25;          ///< likewise
    double head_factor_min = 0.3;          ///< of the head space as told
    double production_sigma = 0.12;        ///< relative, of the CO2 that the gravity curve tells (simulation)
    double unseen_per_h = 0.033;           ///< volumes an hour: pitched wort fills within a day, and then it is seen to work (common practice: 8 to 48 h); that is 1.7 points, which no float sees
    double unseen_log_sigma = 0.7;         ///< nine in ten within 9 h to three days
    double production_min = 0.4;           ///< relative
    double supersaturation = 0.12;         ///< volumes above equilibrium at `lively_per_h` (simulation); up to 0.45 were measured (Delente and Gurley, MBAA Tech. Q. 5 (1968) 187: 0.225 % where 0.135 are kept, 1.5 m deep)
    double supersaturation_log_sigma = 0.32;  ///< 0.07 to 0.2 for nine in ten; 0.25 suits one make of simulated worlds, another asks for more
    double fermented_volumes = 0.9;        ///< in beer that fermented under an open vent at 16 to 20 degC
    double fermented_sigma = 0.12;         ///< volumes
    double fermented_min = 0.3;            ///< volumes
    double volumes_sigma = 0.05;           ///< of each particle's own, volumes
    double carbonated_sigma = 0.07;        ///< relative: how near equilibrium "carbonated" beer is
    double carbonated_min = 0.5;           ///< of equilibrium
};

/// What is learnt of a vessel's uptake (uptake.hpp).
struct UptakeParameters {
    double between_batches = 0.12;         ///< sigma of ln kLa from one batch in a vessel to the next: 2 to 12 degC make 0.07 either way, and uptake stirs itself less as the beer fills (simulation)
    double gassed_otherwise = 0.05;        ///< probability that a batch is gassed in another way than those before it: then what is usual holds
    double sharper = 0.5;                  ///< of the prior's variance may be left; else a batch has taught nothing
    double changed_z2 = 9.0;               ///< squared sigmas off the prior from which on it is another vessel than was learnt
    double settled_h = 6.0;                ///< shut for so long before its fall counts as a lesson
    double litres_per_h_min = 1e-3;        ///< sane: a litre that needs a month and a half
    double litres_per_h_max = 1e4;         ///< likewise: hectolitres rocked
    double log_sigma_max = 2.0;            ///< likewise
};

/// Prediction, update and resampling.
struct GasFilterParameters {
    double lively_per_h = 0.1;             ///< volumes made an hour: a lively ferment, where supersaturation is told
    double asleep_per_h = 0.02;            ///< likewise: below, the places where bubbles form fall asleep (simulation)
    double held_sigma = 0.01;              ///< volumes about the target that held beer approaches (simulation)
    double held_sigma_fermenting = 0.02;   ///< the same while it ferments
    double shut_volumes_variance = 1.5e-6; ///< volumes squared a step
    double shut_kpa_variance = 1e-3;       ///< kPa squared a step: a few hundredths of a degree move the gas by 0.03 kPa
    double weigh_every_h = 1.0;            ///< particles are resampled, and a leak is judged, no more often
    double model_variance = 0.25;          ///< kPa squared: no pressure counts as if the model were better than half a kPa
    double model_errs_h = 0.25;             ///< and for so long it errs the same way (simulation)
    double reading_variance_min = 0.1;     ///< kPa squared of a step's mean pressure
    double innovation_z2_max = 9.0;        ///< squared sigmas that one innovation may count
    double resample_below = 1.0 / 3;       ///< effective share under which particles are resampled
    double shrink = 0.97;                  ///< Liu and West's a: offspring keep mean and spread
    double factor_min = 0.84;              ///< bounds of offspring
    double factor_max = 1.04;              ///< likewise
    double co2_min_kpa = 0.1;              ///< absolute: keeps logarithms and divisions whole
    double kla_min = 1e-9;                 ///< per hour, likewise
    double litres_min = 0.05;         ///< litres: no less beer and no smaller head space is believed; the sums divide by them
    double redrawn = 0.15;                 ///< share of particles whose kLa is drawn anew when the stage changes
    double kla_log_sigma = 0.15;           ///< by which the others' kLa is loosened then
    double loosened_variance = 1e-4;       ///< volumes squared, likewise
    double purge_seen_kpa = 20.0;          ///< gauge: from here on the pressure of the moment, or the regulator's, is what it is filled to
    double purge_usual_kpa = 70.0;         ///< gauge, where neither is known (common practice: 50 to 100)
    double purge_lasts_h = 0.5;            ///< ten cycles by hand take less
    double hand_kpa_variance = 9.0;        ///< kPa squared: a gauge of class 1.6 with 4 bar of span, read by eye (common practice)
    double hand_sigma = 0.1;               ///< volumes: a shaker test or an instrument in the glass (common practice)
};

/// The pressure signal and the head space.
struct HeadSpaceParameters {
    double variance_start = 0.09;          ///< kPa squared of one step's mean pressure, until it is learnt
    double variance_min = 0.04;            ///< kPa squared
    double variance_max = 4.0;             ///< kPa squared, also the most that one step teaches
    double variance_memory = 0.98;         ///< per step of five minutes: four hours
    double bend_per_variance = 6.0;        ///< variance of a second difference of equal noises: 1 + 4 + 1
    double dry_min_kpa = 1.0;              ///< absolute: below no transducer reads
    double play_min_kpa = 0.3;             ///< the books of the air follow the pressure with so much play: weather within the hour, a transducer's resolution
    double play_sigmas = 4.0;              ///< likewise, of the transducer's noise: it passes once in a month of steps
    double let_off_from_kpa = 20.0;        ///< gauge: from above to
    double let_off_to_kpa = 8.0;           ///< gauge within five minutes, gas was let off; no uptake ends there
    double play_c = 0.1;                   ///< the gas follows the beer within minutes, but for a thermometer's noise and its resolution
};

/// What is told.
struct GasReportParameters {
    double instruments = 0.0065;           ///< relative: a thermometer of class B (IEC 60751: 0.3 degC at two sigmas, and 3 % a degree) and a transducer of 1 kPa at two sigmas
    double air_percent = 0.3;              ///< of the head space, at 90 %: nobody has told less from none; stripped from the wort, or through a seal
    double carbonated_within = 0.05;       ///< volumes of the target: nobody tastes less
    double carbonated_low = 0.25;          ///< volumes by which the low end may lack
    double carbonated_h = 1.0;             ///< for so long
    double negligible = 1e-6;              ///< of the best particle's weight: left out
    double outlook = 0.006;                ///< relative, of the CO2 pressure at another temperature: volumes of vessel and beer, its swelling, the equation of state
    double contradicts_share = 1.5;        ///< of what the whole pressure keeps dissolved: beer above it foams (it bears some 1.35; simulation)
    double contradicts_volumes = 0.1;      ///< above that
    double contradicts_h = 3.0;            ///< for so long: a vessel that was just opened foams for a while
    double doubted_sigma = 0.15;           ///< of equilibrium: how near to it the beer is believed after a contradiction
    double agrees_h = 12.0;                ///< for so long no contradiction: it is over
    double unheard_h = 24.0;               ///< for so long a shut vessel is reckoned on without its gauge: what leaks meanwhile nobody sees
};

/// Where a shut vessel ends.
struct ClosingParameters {
    double yield_sigma = 0.03;             ///< relative, of the CO2 that a point gives: Balling's alcohol is off by 0.15 % vol of 5 (brewing/balling.hpp)
    double yield_min = 0.5;                ///< no draw of it is lower
    double co2_kpa_max = 10'000;           ///< absolute: beyond it CO2 is a liquid and no vessel of this kind is left
    double secant_sg = 0.001;              ///< SG over which the yield of a point is taken
    double starting_width = 0.7;           ///< of the interval so early: split-conformal (gravity/parameters.hpp) over worlds 101 to 110 of each kind under pressure
    double starting_sg = 0.0025;           ///< SG that has fermented until then
    std::uint64_t seed = 6;                ///< of the doubts that are drawn; any would do
};

/// What the gauge of a shut vessel tells of its yeast.
struct RiseParameters {
    double settles_h = 0.5;                ///< until the beer has its share of what is set free: bubbles and surface give a kLa of some 0.5 per hour, and both sides of the exchange make it four times as fast (simulation)
    double shares_sigma = 0.35;            ///< relative: how well that share is known in between
    double unsteady_volumes_per_h = 0.015; ///< just shut: beer that bubbled holds 0.05 to 0.2 volumes too much, and gives them off within hours (simulation)
    double steadies_h = 6.0;               ///< until that is over but for a third
    double steady_volumes_per_h = 0.002;   ///< for ever: weather moves a gauge by 0.1 kPa/h, and two degrees a day move what is dissolved
    double given_off_per_c = 0.03;         ///< of what is dissolved, each degree at equilibrium: solubility's slope near 15 degC; half of it is taken out and counts as doubt, for the beer follows slowly
    double gauge_is_wrong = 0.002;         ///< likelihood that remains for what the gauge speaks against: a valve not quite shut, a dead zero
    double window_share = 0.5;             ///< of the time that it has been shut: over the newer half the rise is taken, ...
    double window_h_min = 0.5;             ///< ... or all of so long, ...
    double window_h_max = 6.0;             ///< ... at most so long: a thermostat's cycles are averaged out, and the yeast slows within a day
    double kpa_variance_min = 0.01;        ///< kPa squared, of the mean of five minutes: no transducer is better
};

/// A leak: in a shut vessel the sum of CO2 cannot fall.
struct LeakParameters {
    double missing_volumes = 0.08;         ///< less than a slow leak of a lid loses in a day, more than temperature layers feign (simulation)
    double shut_min_h = 3.0;               ///< before a sum is taken as a reference: layers settle
    int weighings = 2;                     ///< in a row, an hour apart
};

/// When a person is asked to shut the gas for a while.
struct ShutInParameters {
    double asks_width = 0.45;               ///< volumes: from this width of the interval on
    double answered_width = 0.32;          ///< volumes: below it was answered
    double asks_after_h = 6.0;             ///< on gas: before, nobody waits for an answer
    double half_width_most = 0.14;         ///< volumes at 90 %: what an answer must reach to be worth the trouble
    std::array<double, 4> hours{1, 2, 4, 8};  ///< that may be asked for, the first that will do; pressure is weighed by the hour
    double reading_variance = 0.1;         ///< kPa squared, of the pressures compared
};

// clang-format on

}  // namespace gyled::estimation::gas
