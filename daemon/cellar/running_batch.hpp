#pragma once
/// A batch under way: its record, the clock of the stage it stands in, and what is believed of it. Changes of
/// the record are for the caller to store. Thread: the core's. Owns record and estimators; nothing throws.

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/base/clock.hpp"
#include "daemon/base/pressure.hpp"
#include "daemon/batch/correction.hpp"
#include "daemon/batch/record.hpp"
#include "daemon/batch/reminders.hpp"
#include "daemon/batch/stage_clock.hpp"
#include "daemon/batch/stage_machine.hpp"
#include "daemon/estimation/batch_estimator.hpp"

namespace gyled::cellar {

inline constexpr const char* as_planned = "as planned";  ///< why a stage began: its planned start came
/// What a finished batch has to say of its culture.
struct Teaching {
    std::string culture_name;
    std::optional<estimation::LearnedCurve> began_with;  ///< the batch's prior
    estimation::LearnedCurve curve;
};

class RunningBatch {
public:
    /// Opens the estimators for a record, new or taken up after a restart. Precondition: the record has
    /// entered at least one stage of its plan.
    RunningBatch(batch::Record record, const batch::VesselSpec& vessel, base::Pressure ambient,
                 batch::StageClock clock = {});

    [[nodiscard]] const batch::Record& record() const { return record_; }
    [[nodiscard]] const batch::StageClock& clock() const { return clock_; }
    [[nodiscard]] const batch::StagePlan& stage() const;  ///< the one it stands in
    /// The planned stage that its start time makes due at `now`; nothing when none is.
    [[nodiscard]] std::optional<std::size_t> due(base::Timestamp now) const;

    /// Stage `index` of the plan, which must have it, from `at` on; its clock begins anew.
    void enter(std::size_t index, base::Timestamp at, const std::string& why);
    /// Lets the stage's clock run. True once: when its planned end has just been met; `now` is recorded.
    [[nodiscard]] bool run_clock(const batch::StageEvidence& evidence);
    /// Is the stage's end near, and this the first time that it is asked? `expected`: of a temperature.
    [[nodiscard]] bool take_soon(base::Timestamp now, std::optional<base::Timestamp> expected);
    /// Additions that have become due since it was last asked.
    [[nodiscard]] std::vector<batch::Addition> take_additions();
    /// Takes the stage entered last back: the one before stands again as it was left. Precondition: two were
    /// entered.
    void leave(base::Timestamp now);
    void close(base::Timestamp at, std::string why) {
        record_.ended = at;
        record_.ended_why = std::move(why);
    }

    /// Already weighed (batch/measurement.hpp). Belief follows with the next `advance`.
    void measure(const batch::HandMeasurement& measurement);
    /// Takes back the newest measurement, or the one taken at `taken_at`; what it was, or nothing.
    std::optional<batch::HandMeasurement> undo_measurement(std::optional<base::Timestamp> taken_at);
    /// Takes a corrected record and starts the estimators anew from their own series. `prior`: for its
    /// culture.
    void correct(batch::Record record, base::Pressure ambient);

    /// The clock was set: moments on record that are false now, or would be yet to come, are corrected;
    /// belief and readings of moments yet to come are forgotten, and planned stages that they brought left.
    void set_clock(const base::ClockSet& set);

    /// A reading by its event time, in any order; canonical unit, pressures gauge, the barometer's absolute.
    void observe(base::Quantity quantity, base::Timestamp at, double gauge_value);
    /// Has one come that changes what was believed already?
    [[nodiscard]] bool has_late_readings() const { return estimator_.has_late_readings(); }
    /// Belief up to `now`, at most so many grid steps: the grid points that are new or were changed by what
    /// came late.
    [[nodiscard]] std::vector<estimation::EstimateSet> advance(base::Timestamp now, std::size_t steps_max) {
        return estimator_.advance(now, steps_max);
    }
    /// Is there more for `advance` to do?
    [[nodiscard]] bool is_behind(base::Timestamp now) const { return estimator_.is_behind(now); }
    /// The newest point of the grid that was reached; as of the last `advance` that was not behind after it.
    [[nodiscard]] const estimation::EstimateSet& latest() const { return estimator_.latest(); }
    /// What was seen beside the estimators; it stands in the record from now on.
    void note(estimation::Fact fact) { record_.facts.push_back(std::move(fact)); }
    [[nodiscard]] base::Estimates closing_given(const estimation::gas::Rise& rise) const {
        return estimator_.closing_given(rise);
    }
    [[nodiscard]] std::optional<estimation::Foresight> foresight() const { return estimator_.foresight(); }
    /// Facts that are new, revoked or restored since the last call; the record tells them from now on.
    [[nodiscard]] std::vector<estimation::Fact> take_facts(base::Timestamp now);
    /// What it teaches the next batch of its culture, once it has finished.
    [[nodiscard]] std::optional<Teaching> teaching() const;
    /// What is known of its vessel after it; nothing where it has taught nothing.
    [[nodiscard]] std::optional<estimation::gas::LearnedUptake> learned_uptake() const {
        return estimator_.learned_uptake();
    }

private:
    [[nodiscard]] estimation::BatchContext context(base::Pressure ambient) const;
    [[nodiscard]] std::vector<estimation::StageEntry> stage_entries() const;
    void hand_over_measurements();
    void leave_what_is_not_due(base::Timestamp now);
    void forget_starts(std::size_t from, base::Timestamp until);

    batch::VesselSpec vessel_;
    batch::Record record_;
    batch::StageClock clock_;
    estimation::BatchEstimator estimator_;
};

/// "north-harbour-mild-2026-03-01-180000": vessel, name and when it was registered. Two batches of one vessel
/// differ: `taken` is the id of the one before.
[[nodiscard]] std::string batch_id(const batch::Plan& plan, base::Timestamp registered,
                                   const std::string& taken);

}  // namespace gyled::cellar
