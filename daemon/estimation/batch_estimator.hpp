#pragma once
/// All that is believed of one running batch. Readings go in as they come, in any order; belief is a fold
/// over event time on a 15-minute grid, so that a live stream, a bulk upload, an import, a correction and a
/// restart end in the same numbers.
///
/// Bounded: at most 8 MB a batch at any age (tests/bench/estimator_bench). Two things are lost for that: a
/// reading that comes more than some 48 hours of readings late into a quarter of an hour that already has
/// some is averaged into it instead of joining its median, and readings older than 400 days are forgotten, so
/// that a correction of an older batch begins there.

#include <limits>
#include <memory>
#include <optional>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/estimation/batch_inputs.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/fold.hpp"
#include "daemon/estimation/foresight.hpp"

namespace gyled::estimation {

/// Thread: one. No clock and no I/O; nothing throws but for want of memory. Cost: observe is O(1) for
/// readings in order; advance up to 20 ms for each grid step. A late reading makes it go again over the time
/// since, at most since the last snapshot before it; a correction over the whole batch: slice those with
/// `steps_max`.
class BatchEstimator {
public:
    static constexpr base::Duration grid = Fold::grid;
    static constexpr std::size_t all_steps = std::numeric_limits<std::size_t>::max();

    BatchEstimator(BatchContext context, base::Timestamp started);
    ~BatchEstimator();
    BatchEstimator(BatchEstimator&&) noexcept;
    BatchEstimator& operator=(BatchEstimator&&) noexcept;

    /// An accepted reading: beer_temperature (degC), gravity (SG), head_pressure (kPa gauge),
    /// barometric_pressure (kPa absolute). Others, and what is not finite, are ignored. Readings from before
    /// the batch began are kept: its start may be corrected.
    void observe(base::Quantity quantity, base::Timestamp at, double value);

    /// Which measurements taken by hand change anything: gravity (SG, degassed), forced_final_gravity (SG),
    /// co2_volumes, head_pressure (kPa gauge) and purge_cycles.
    [[nodiscard]] static bool uses(base::Quantity quantity);
    /// One of these. Others, and what is not finite, are ignored.
    void measure(base::Quantity quantity, base::Timestamp at, double value);
    /// All measurements of one quantity anew, in any order: so one is undone or corrected.
    void set_measurements(base::Quantity quantity, std::vector<HandReading> readings);

    /// Stages may be told in any order; each holds until the next one.
    void enter(StageEntry stage);
    /// All stages anew, in any order: so the times of one are corrected.
    void set_stages(std::vector<StageEntry> stages);

    /// The batch is another than was thought: original gravity, expectation, volumes, culture, targets. All
    /// estimates start anew from the readings, as if it had been known from the beginning.
    void correct(BatchContext context);
    /// The same for the moment at which it began.
    void set_started(base::Timestamp started);

    /// The clock was set back to `now`: belief and readings of moments that are yet to come are forgotten.
    /// What is left follows on as with `set_forward`.
    void set_back(base::Timestamp now);

    /// The clock was set forwards to `now`: by more than a day, belief stays as it is, for no time went by.
    void set_forward(base::Timestamp now);

    /// Folds up to the last grid point not after `now`, at most so many steps, and returns what is new: the
    /// grid points passed, and earlier ones again where something late or corrected changed them.
    std::vector<EstimateSet> advance(base::Timestamp now, std::size_t steps_max = all_steps);
    /// Is there more for `advance` to do? True as well when something late or corrected waits.
    [[nodiscard]] bool is_behind(base::Timestamp now) const;
    /// Has something late or corrected arrived that `advance` would take into account?
    [[nodiscard]] bool has_late_readings() const;

    /// Of the last grid point, as of the last time that `advance` caught up with its `now`: slices on the way
    /// there do not show. Valid until the next call of `advance`.
    [[nodiscard]] const EstimateSet& latest() const;
    /// closed_pressure, warm_pressure and closing_gravity as believed at the last grid point, and what the
    /// gauge of a vessel shut since then tells: beliefs wait for the grid, a person at the valve does not.
    /// Half a millisecond.
    [[nodiscard]] base::Estimates closing_given(const gas::Rise& rise) const;
    /// A copy of what is believed, to be lived on under a hypothesis (foresight.hpp); nothing before the
    /// first stage of the cold side. As of the last grid point.
    [[nodiscard]] std::optional<Foresight> foresight() const;
    /// Decided so far, oldest first; likewise.
    [[nodiscard]] const std::vector<Fact>& facts() const;
    /// What this batch teaches the next one of its culture; nothing before it has finished.
    [[nodiscard]] std::optional<LearnedCurve> learned() const;
    /// What is known of its vessel after it; nothing where it has taught nothing.
    [[nodiscard]] std::optional<gas::LearnedUptake> learned_uptake() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::estimation
