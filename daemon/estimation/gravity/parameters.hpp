#pragma once
/// What the gravity estimator takes for granted: one line each with unit, meaning and reason. Gravities in
/// points, (SG - 1) * 1000; times in hours. "Simulation" means: chosen on tests/simulation and on the
/// families of tests/estimation/tables, and no better founded than that.

#include <array>
#include <cstddef>

namespace gyled::estimation::gravity {

inline constexpr double hours_per_day = 24.0;

// clang-format off

/// When the curve is fitted, and when its answers are given.
struct CurveParameters {
    double close_every_h = 1.0;            ///< quarters become a point of the record; faster brings no news
    double fit_every_h = 1.0;              ///< active batches
    double fit_every_aged_h = 2.0;         ///< after `aged_h`: little happens in an hour
    double fit_every_settled_h = 3.0;      ///< asleep or finished
    double aged_h = 14.0 * 24.0;           ///< age of a batch whose hours are all alike
    double settled_awake = 0.2;            ///< wakefulness below which yeast is asleep
    double awake_memory_h = 12.0;          ///< time constant of the smoothed wakefulness: a cold night is not a sleep
    double asleep_below = 0.3;             ///< wakefulness that counts as sleep
    double awake_above = 0.7;              ///< and as being awake; between them nothing is decided
    double slept_min_h = 10.0;             ///< a shorter sleep wakes without a lag
    double start_c_lager = 11.0;           ///< degC believed before the first reading
    double start_c = 20.0;                 ///< the same for other cultures
    double beer_c_min = -10.0;             ///< a thermometer below is broken
    double beer_c_max = 60.0;              ///< and above
    double hand_too_old_h = 24.0;          ///< a hand reading that came later than this is not used
    double still_per_h = 1e-3;             ///< thermal h per h below which the end is never reached
    double balling_abv = 0.15;             ///< % by volume, 90 %: what Balling's balance is off against real brews (Cutaia et al. 2009)
    double balling_fermented_percent = 75; ///< apparent attenuation of the brews that says so; less for a beer under way
    double balling_attenuation = 1.0;      ///< percentage points, 90 %: 0.1 degrees Plato of real extract in a wort of 12 (the same)
    int moves_first = 4;                   ///< of each particle at the first fit, from a prior that is wide
    int moves = 1;                         ///< and at each later one
    double between_batches = 0.03;         ///< share of the usual variance by which two batches of one culture differ (simulation)
    double few_batches = 0.2;              ///< and as much again, divided by the batches learnt from
    double other_family = 0.1;             ///< chance that the next batch ferments as if none had been before
    double certain_ale = 0.80;             ///< probability of being at the end that "finished" takes (simulation)
    double certain_lager = 0.85;           ///< slow cultures creep towards their end: more is asked
    double certain_mixed = 0.92;           ///< the slowest
};

/// What can be a gravity at all, SG.
struct PlausibleGravity {
    double sg_min = 0.95;                  ///< below the driest beer
    double sg_max = 1.25;                  ///< above the strongest wort
};

/// The particle population: an SMC sampler.
struct PopulationParameters {
    double effective_min = 0.25;           ///< share of particles that must stay effective; a sharper likelihood is tempered
    double temper = 0.7;                   ///< by this factor a try
    double temper_min = 0.01;              ///< and no further: then the moves must do it
    double resample_below = 0.6;           ///< effective share under which particles are resampled
    double all_indices = 0.5;              ///< probability that a move takes all indices at once
    double some_indices = 0.3;             ///< otherwise each with this probability
    double mode_jump = 0.1;                ///< probability of a stride of 1, which jumps between modes (ter Braak 2006)
    double stride = 2.38;                  ///< over sqrt(2 d): the stride of a normal target in d dimensions (ter Braak 2006)
    double jitter = 0.02;                  ///< of the prior's sigma, keeps the population from collapsing onto a plane
    double another_family = 0.2;           ///< probability that a move proposes another family (simulation)
    double known_family = 0.1;             ///< share of the particles from which on a family has taught something
    int moves_at_change = 6;               ///< more moves when a change point came: its indices are drawn anew
    double outlier_z2 = 6.0;               ///< squared sigmas of innovation at which a point's noise is thought larger (2.4 sigma)
    std::size_t draw_attempts = 4;         ///< draws of linear parameters until none is negative
    double creep_min = -0.01;              ///< points by which rounding may make late sugar negative
};

/// The random-walk bias (Ornstein-Uhlenbeck) about the curve.
struct RandomWalkParameters {
    double correlation_h = 18.0;           ///< of what the curve cannot explain: a day's swing of temperature and krausen (simulation)
    double sigma_start = 0.3;              ///< points, before anything was seen
    std::array<double, 5> sigmas{0.12, 0.25, 0.5, 1.0, 2.0};      ///< points: those that are tried
    std::array<double, 5> log_prior{0.0, 0.0, -0.5, -2.0, -4.0};  ///< large ones are less likely beforehand (simulation)
    double memory = 0.8;                   ///< weight of what was believed an hour ago: it must not flicker
};

/// The clock of fermentation.
struct ThermalParameters {
    double gentle_kj = 30.0;               ///< kJ/mol: the three energies between which any other is interpolated
    double usual_kj = 55.0;                ///< kJ/mol: a Q10 of 2.2 near 15 degC (2 to 3 is common practice)
    double steep_kj = 80.0;                ///< kJ/mol; equally far, so that the interpolation is a parabola
    double energy_min_kj = 20.0;           ///< kJ/mol beyond which the parabola is not trusted
    double energy_max_kj = 95.0;           ///< kJ/mol, likewise
    double reference_c = 20.0;             ///< degC at which an hour counts as one: where ales are made
    double reference_c_lager = 11.0;       ///< and lagers
    double beer_c_min = -2.0;              ///< degC: beer freezes
    double beer_c_max = 38.0;              ///< degC: yeast dies; the rate grows no further
    struct Sleep {
        double edge_c;                     ///< degC at which half of the culture is dormant
        double softness_c;                 ///< degC of the logistic about it
    };
    Sleep sleep{8.5, 0.9};                 ///< an ale drops out below 10 degC (common practice)
    Sleep sleep_lager{3.0, 0.7};           ///< a lager works on down to about 4 (common practice)
};

/// A normal belief about one number.
struct Spread {
    double mean = 0;
    double sigma = 0;
};

/// What is believed of the linear parameters before any reading, beside what the brewer says. Points.
struct LinearPriorParameters {
    Spread attenuation_ale{0.75, 0.045};   ///< apparent, share of the original points: 70 to 80 % (common practice)
    Spread attenuation_lager{0.78, 0.035}; ///< 75 to 82 % (common practice)
    Spread attenuation_mixed{0.91, 0.06};  ///< 85 to 102 % (common practice)
    double attenuation_doubt = 2.0;        ///< times its sigma, when the brewer expects an end of their own
    Spread slow{0.13, 0.05};               ///< maltotriose, share of the original points: a sixth of what ferments (common practice)
    Spread no_slow{0.0, 1e-4};             ///< none, without making the matrix singular
    Spread slow_mixed{0.16, 0.10};         ///< what the second organism of a mixed culture eats (simulation)
    double original = 50.0;                ///< nobody told anything: most beers lie between 35 and 65
    double original_sigma = 15.0;          ///< and so they say
    double original_min = 20.0;            ///< when reckoned back from the expected end: below is no beer
    double drift_mixed = 0.3;              ///< over months a drift that goes on for ever would swallow a slow organism
    Spread late_sugar{2.5, 2.5};           ///< set free by dry hops or enzymes: 1 to 5 points (common practice)
    Spread no_late_sugar{0.0, 1e-3};       ///< none, without making the matrix singular
};

/// A forced ferment: a sample kept warm with much fresh yeast, which ends within two days.
struct ForcedFermentParameters {
    double above = 0.5;                    ///< points by which the batch ends above its sample: it is roused less (common practice: 0 to 1)
    double sigma = 0.8;                    ///< points, with the reading's own 0.5
};

/// Beyond these a shape is no fermentation, or its arithmetic breaks down.
struct ShapeBounds {
    struct Range {
        double low, high;
    };
    Range duration_h{4.0, 2000.0};         ///< thermal h
    Range onset_h{0.3, 300.0};             ///< thermal h
    Range start{1e-4, 1.0};                ///< share of the grown activity
    Range asymmetry{0.1, 10.0};            ///< of the five-parameter logistic
    Range saturation{0.02, 60.0};          ///< above: the logistic
    Range hunger{0.005, 60.0};             ///< above: first order
    Range fatigue{0.01, 20.0};             ///< of alcohol
    Range slow{1e-3, 3.0};                 ///< pace against the main extract
    Range second_per_h{1e-4, 0.1};         ///< 1/h thermal: 10 000 h to 10 h
    Range second_odds{0.01, 1e6};          ///< late and steep above
};

/// Bounds of what the particles may say of change points.
struct ClockParameters {
    double log_wake_lag_max = 5.0;         ///< 150 thermal h: a longer lag is a batch that does not come back
    double wake_activity_max = 2.0;        ///< of the former activity
    double log_creep_rate_min = -8.0;      ///< 1/h thermal: 3000 h
    double log_creep_rate_max = 0.0;       ///< 1/h thermal: an hour
};

/// From a particle to what is told.
struct PredictionParameters {
    double finish_points = 0.5;            ///< of the end: nearer than this nobody measures
    double forecast_h = 12.0;              ///< thermal hours that the stall rule looks ahead, and twice as far
    double stalled_ends_after_h = 8.0 * 24.0;  ///< a stalled batch ends where it is by then
    double stalled_speed_min = 0.1;        ///< thermal h per h, when that is reckoned: a cold cellar is not for ever
    double roused = 0.08;                  ///< probability that a stalled batch comes back, one in twelve (simulation)
    double roused_activity = 0.7;          ///< of its former activity
    double lift_sigma_h = 0.15;            ///< doubt of the float's lift, hours of fermentation
    double lift_sigma_share = 0.5;         ///< and as a share of the lift
    double rate_sigma = 0.10;              ///< no curve of ours is nature's own: relative doubt of the rate (simulation)
    double brisk_per_day = 3.0;            ///< points per day from which on the curve is as likely wrong as the sensor
};

/// By how much an interval is stretched so that it holds in nine cases of ten, by quantity and phase:
/// split-conformal factors (Lei et al. 2018), the 90 % quantile of |truth - middle| / half width over
/// simulated batches of all families and the real ferments of the tuning half (01, 07, 13, 19). 1: it held already.
struct CalibrationParameters {
    double now_lag = 1.15;                 ///< gravity now and what follows from it, until a twentieth is gone
    double now_active = 1.2;               ///< until nine tenths are
    double now_tail = 1.0;                 ///< afterwards, warm or cold
    double end_late = 1.15;                ///< final gravity from seven tenths on; before: held
    double finish = 1.15;                  ///< finish time
    double finish_late = 1.3;              ///< from seven tenths on
    double lag_until = 0.05;               ///< share of the drop
    double late_from = 0.7;                ///< the same
    double tail_from = 0.9;                ///< the same
};

/// The record of readings.
struct RecordParameters {
    double remembered_h = 3.0;             ///< quarters that an outlier is told from
    double point_from_h = 1.5;             ///< a point takes in quarters no older than this
    std::size_t differences = 64;          ///< second differences behind the noise: two thirds of a day
    std::size_t differences_min = 8;       ///< fewer tell nothing
    double noise_unknown = 1.0;            ///< points, until then
    double gap_max_h = 1.0;                ///< over a longer gap a difference is no noise
    double bin_noise_min = 0.15;           ///< points: a sensor is never believed better, it rounds
    double point_noise_min = 0.08;         ///< points, of an hour's mean: it wanders between readings
    double gate_sigmas = 4.0;              ///< beyond this about the median of three hours a quarter is an outlier
    double gate_points = 0.3;              ///< and this much more, so that a quiet sensor is not cut
    double fresh_h = 30.0;                 ///< points younger than this are not merged: the facts look at them
    double merge_h_per_point = 12.0;       ///< a fall of a point is worth so many hours when the cheapest pair is merged
    std::size_t restless = 192;            ///< differences behind the lift: two days
    std::size_t restless_min = 16;         ///< fewer tell nothing
    double slow_per_h = 0.1;               ///< points per hour below which nothing lifts a float
    double brisk_share = 0.5;              ///< of the fastest rate seen: brisk
    double calm_share = 0.15;              ///< of it: calm
    double calm_noise = 1.1;               ///< by which the calm noise is enlarged before it is subtracted
    double lift_per_noise = 0.9;           ///< mean lift per sigma of the added noise; a normal cut in half has 0.8 (simulation)
};

/// Fermentation has started.
struct StartParameters {
    double first_h = 4.0;                  ///< the level at pitching: mean over the first hours
    double now_h = 3.0;                    ///< the present level
    double fell = 2.0;                     ///< points beyond noise: a float settling after pitching falls less
    double sigmas = 4.0;                   ///< of both levels
    double believed = 1.0;                 ///< points that the curves' low end must have fallen too
    double low_end = 0.05;                 ///< quantile that "low end" means
    double believed_late = 8.0;            ///< readings that began late: the curves alone, from the original gravity
};

/// Fermentation has not begun, though it should have.
struct OverdueParameters {
    double nine_in_ten = 1.2816;           ///< sigmas of the culture's lag: later than nine batches in ten
    double seen_after_h = 8.0;             ///< thermal hours from the first twentieth until a float shows it for certain
    double high_end = 0.95;                ///< quantile of what the curves say has fallen
    double fell_most = 3.0;                ///< points: less than this is no fermentation yet
    double heard_within_h = 4.0;           ///< a silent sensor has not seen that nothing happens
};

/// Fermentation has stalled. Chosen on simulation: 20 % of healthy batches stalled at a 90 % low end without these.
struct StallParameters {
    double now_h = 4.5;                    ///< the present level: two readings of a sensor that speaks every other hour
    double then_before_h = 2.5;            ///< the level at a forecast: from so long before it
    double then_after_h = 2.0;             ///< to so long after
    int level_count_min = 2;               ///< points in each
    double since_min_h = 8.0;              ///< a forecast younger than this proves nothing: a float wanders 0.7 points over 5 h
    double forecasts_kept_h = 30.0;        ///< older ones rest on too little
    double fall_low_end = 0.05;            ///< quantile of the forecast fall that counts as forecast
    double left_low_end = 0.05;            ///< quantile of what was left
    double fell_share = 0.25;              ///< of the forecast fall; less than this has happened
    double lacks = 0.5;                    ///< points that lack at least
    double lacks_sigmas = 3.5;             ///< beyond so many sigmas of the levels and of the wander between them
    double wander_min = 1.0;               ///< points, one sigma: a float wanders 0.7 while yeast works, at both ends
    double slowed = 0.8;                   ///< of the rate that was believed then; the curves must agree that it has slowed to this
    double left_min = 3.0;                 ///< points left: nearer the end it is an end
    std::array<double, 4> gentle_windows_h{16.0, 24.0, 32.0, 48.0};  ///< a stop too gentle for the forecasts: a flat trend, the shortest that is clear
    double gentle_span = 0.75;             ///< share of the window that readings cover
    int gentle_count = 8;                  ///< with so many points
    double gentle_wander = 18.0;            ///< points per day times hours: sigma of the slope over a window by a wander of 0.5 points over 5 h; 25 for one of 0.7 told one stop in ten later than a day
    double gentle_share = 0.25;            ///< of the steepest rate that was believed lately; a faster fall, 2 sigma down, is none
    double gentle_per_day = 1.2;           ///< points per day, at least
    double gentle_per_day_most = 4.0;      ///< and at most
    double gone_min = 0.3;                 ///< of the expected fall: what stands before that has not begun
    double beyond_end = 4.5;               ///< points above the expected end, or
    double beyond_end_sigmas = 3.0;        ///< so many sigmas of it
    double beyond_min = 2.5;               ///< points above it in any case
    double mixed_h = 264.0;                ///< mixed cultures pause between organisms: eleven days of trend
    double mixed_span_h = 240.0;           ///< covered by readings
    double mixed_per_day = 0.15;           ///< points per day that the second organism falls at least
    double woken_h = 60.0;                 ///< yeast woken from the cold takes its time
    double lately_h = 8.0;                 ///< the last hours must agree
    int lately_count = 5;                  ///< with so many points
    double lately_per_day = 1.0;           ///< points per day: a certain fall beyond this is life
    double awake_min = 0.6;                ///< cold yeast sleeps, it does not stall
    int evaluations = 3;                   ///< in a row, about as many hours
    double began_before_h = 14.0;          ///< the change point lies so long before the decision
};

/// Fermentation has finished.
struct FinishParameters {
    std::array<double, 3> windows_h{24.0, 36.0, 48.0};  ///< the shortest whose slope is known well enough
    double window_sigma = 0.3;             ///< points per day that "well enough" means
    double window_span = 0.75;             ///< share of the window that readings cover
    int count_min = 8;                     ///< points
    double sigma_max = 0.5;                ///< points per day, in any case
    double span_min_h = 18.0;              ///< hours, in any case
    double sure_alone = 0.95;              ///< probability from which on the curves need less of the trend:
    double sigma_alone = 1.1;              ///< points per day, what two days of a sensor say that speaks every other hour
    double bound_per_day = 1.2;            ///< points per day: the slope, 2 sigma down, is flatter (brewing/fermentation.hpp asks 1.0 at 95 %; simulation)
    double heard_within_h = 4.0;           ///< a silent sensor finishes nothing
    double mixed_h = 168.0;                ///< mixed cultures need a long look
    double mixed_span_h = 120.0;           ///< of readings
    double mixed_per_day = 0.15;           ///< points per day; flatter, a sigma down
    double near_end = 0.7;                 ///< points: "at the end" for the curves
    double beyond_end = 4.5;               ///< points above the expected end where it is rather a stall, or
    double beyond_end_sigmas = 3.0;        ///< so many sigmas of it
    double awake_min = 0.6;                ///< cold yeast sleeps, it has not finished
    double asleep_max_h = 48.0;            ///< unless it had before the cold came: so long is that looked at
    int evaluations = 3;                   ///< in a row
    double level_h = 12.0;                 ///< the level at the end: mean over so long
    double told_sigmas = 1.6;              ///< +- in the evidence's sentence: about 90 %
};

/// Without a sensor, hand readings decide: one a day, some two a batch.
struct ByHandParameters {
    double apart_h = 18.0;                 ///< between two readings that are compared
    double within_h = 72.0;                ///< and no older than this
    double started_fell = 2.0;             ///< points below the original gravity beyond noise
    double sigmas = 3.0;                   ///< of both readings
    double per_day = 1.0;                  ///< points per day of fall that is no stall any more
    double end_apart_h = 40.0;             ///< an end is a gravity unchanged over two days (common practice: 48 to 72 h)
    double end_per_day = 0.25;             ///< points per day of fall, beyond noise, that is no end any more
    double certain = 0.9;                  ///< probability of being at the end that it takes
    double heard_within_h = 30.0;          ///< the last one is no older
};

/// It goes on after all: a fall that is neither noise nor a sensor's drift. Chosen on simulation.
struct ResumeParameters {
    double level_finished_h = 12.0;        ///< the present level, after "finished"
    double level_stalled_h = 5.0;          ///< and after "stalled", where more happens in an hour
    int level_count_min = 3;               ///< points
    double awake_min = 0.3;                ///< of the last half day
    double settled_before_h = 12.0;        ///< the plateau begins so long before the decision
    double settled_gap_h = 30.0;           ///< and ends so long before now
    double settled_for_h = 120.0;          ///< or so long after the decision
    double settled_span_min_h = 48.0;      ///< a shorter one tells no drift
    double drift_sigma = 0.15;             ///< points per day: what a sensor usually drifts
    double window_h = 30.0;                ///< in which it must be seen to fall
    double window_slow_h = 60.0;           ///< or in this one, once that is past
    int window_count = 6;                  ///< points
    double falls_per_day = 0.12;           ///< points per day beyond the drift
    double drift_doubt = 0.02;             ///< points per day, with a plateau to go by
    double drift_doubt_sigmas = 0.8;       ///< and of its sigma
    double drift_doubt_early = 0.25;       ///< points per day, without
    double fell_finished = 0.40;           ///< points, after "finished"
    double fell_stalled = 0.8;             ///< and after "stalled"
    double fell_sigmas = 2.7;              ///< of both levels
    double creep_began_h = 48.0;           ///< the change point lies at most so long ago
    double stall_was_wrong_h = 30.0;       ///< younger than this the stall is revoked, not ended
};

// clang-format on

}  // namespace gyled::estimation::gravity
