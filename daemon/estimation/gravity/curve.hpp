#pragma once
/// From noisy, biased, gappy gravity readings to honest numbers: where the beer stands, where it will end,
/// and when.
///
/// Curves of several families are fitted to the readings in thermal time, as a population of possible ones;
/// all answers are taken from the whole population, so their intervals are as wide as our ignorance, and are
/// then stretched by a factor for each quantity and phase so that nine in ten hold (conformal;
/// parameters.hpp). A value: a copy is a snapshot, and equal calls in equal order give equal answers. No
/// clock: time comes as an argument. Single-threaded. Cost: about a millisecond per hour of event time at
/// most, whatever the length of the batch.

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/time.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gravity/prior.hpp"

namespace gyled::estimation::gravity {

/// The gravity readings of one quarter of an hour, calibrated, SG 20/20.
struct GravityBin {
    double median_sg = 1.0;
    int count = 1;  ///< readings behind the median
};

/// The plan: from this moment on the beer is meant to be so warm. Used only to foresee.
struct PlannedTemperature {
    base::Timestamp from;
    double celsius = 20;
};

/// One of the weighted hypotheses behind the estimates: from the gravity at the last step to the end.
struct DropLeft {
    brewing::GravityDrop drop;
    double falls_sg_per_h = 0;  ///< now
    double weight = 0;
};

class GravityCurve {
public:
    /// `pitched`: when the yeast met the wort. Nonsense in the prior (not finite, outside 0.95 to 1.25 SG, a
    /// sigma that is not positive) is treated as not given.
    GravityCurve(GravityPrior prior, base::Timestamp pitched);
    GravityCurve(const GravityCurve&);
    GravityCurve& operator=(const GravityCurve&);
    GravityCurve(GravityCurve&&) noexcept;
    GravityCurve& operator=(GravityCurve&&) noexcept;
    ~GravityCurve();

    /// A quarter of an hour has passed; called in event-time order, whether there were readings or not. `at`
    /// is the end of the bin. Without a temperature the last one is believed. Steps before the last one, and
    /// readings that are no gravity, are ignored.
    void step(base::Timestamp at, std::optional<double> beer_c, std::optional<GravityBin> bin,
              base::StageKind stage);

    /// A hand measurement, degassed: it corrects the sensor's bias. In event-time order with `step`; one that
    /// is up to a day older than the last step is still used.
    void measure(base::Timestamp at, double sg, double sigma = 0.001);

    /// A forced ferment, a warm sample with plenty of yeast, has ended at `sg`: from now on this is where the
    /// batch is expected to end, instead of what was expected before.
    void measure_forced(base::Timestamp at, double sg);

    /// The clock was set forwards by so much: the same hours have passed since the yeast went in.
    void shift(base::Duration by);

    /// What the plan says of the coming temperatures, ordered by time; replaces what was said before. Without
    /// it the beer is thought to stay as warm as it is.
    void set_plan(std::vector<PlannedTemperature> plan);

    /// gravity_now, gravity_rate, final_gravity, finish_time, apparent_attenuation, real_attenuation,
    /// alcohol_by_volume and residual_co2_potential, as far as anybody could know. finish_time is the moment
    /// at which the gravity comes within 0.0005 of its terminal value; it is left out before it has
    /// started, once finished or stalled, and when cold has sent the yeast to sleep. While nobody could know
    /// its interval is days wide.
    [[nodiscard]] const base::Estimates& estimates() const;

    /// Everything decided so far, oldest first. Entries are only added, or marked as revoked.
    [[nodiscard]] const std::vector<Fact>& facts() const;
    [[nodiscard]] bool is_started() const;
    [[nodiscard]] bool is_stalled() const;
    [[nodiscard]] bool is_finished() const;

    /// CO2 being set free now, volumes per litre of beer and hour.
    [[nodiscard]] std::optional<base::Estimate> co2_volumes_per_hour() const;
    /// CO2 that the extract still to ferment would set free, volumes per litre of beer: what would come if
    /// sealed now.
    [[nodiscard]] std::optional<base::Estimate> residual_co2_potential() const;

    /// What is left to ferment, as a weighted sample; empty while nobody could know.
    [[nodiscard]] std::vector<DropLeft> drops_left() const;

    /// The shape of this batch's curve joined with what was known before; nothing unless finished.
    [[nodiscard]] std::optional<LearnedCurve> learned() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::estimation::gravity
