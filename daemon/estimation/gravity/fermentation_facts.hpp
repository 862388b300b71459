#pragma once
/// Decides what has happened to a fermentation: started, stalled, finished, resumed; and revokes it.
///
/// Needs agreement of the believed curves and of the bare readings, so that neither a wrong curve nor a lying
/// sensor decides alone. Cold yeast decides nothing: a beer that sleeps has not finished. A value,
/// single-threaded; the thresholds stand in parameters.hpp. Gravities in points, times in hours since
/// pitching.

#include <deque>
#include <optional>
#include <vector>

#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gravity/population.hpp"
#include "daemon/estimation/gravity/record.hpp"

namespace gyled::estimation::gravity {

/// What is to be judged, once per hour or so. Refers to record and curves for the time of the call only.
struct Evaluation {
    base::Timestamp at;
    Present present;
    const GravityRecord& record;
    const std::vector<HandPoint>& hands;
    const CurvePopulation& curves;
    double awake = 1;              ///< wakefulness over the last half day, 0 to 1
    double slept_h = 0;            ///< for how long it has been cold
    std::optional<double> woke_h;  ///< when it was warm again after a cold sleep
    double expected_final = 10;    ///< what brewer or culture let expect, points
    double expected_sigma = 3;
    double begun_by_h = 40;  ///< usual thermal hours by which this culture has nearly always begun
    int batches = 0;         ///< of it that say so
    bool is_mixed = false;
    double certainty_to_finish = 0.85;  ///< of being within 0.0007 of the end
};

class FermentationJudge {
public:
    /// Takes an evaluation into account; in order of time. The change points of the curve, as far as the
    /// facts say.
    ChangePoints judge(const Evaluation& evaluation);

    [[nodiscard]] const std::vector<Fact>& facts() const { return facts_; }
    [[nodiscard]] const ChangePoints& change_points() const { return change_points_; }
    [[nodiscard]] bool is_started() const { return started_h_.has_value(); }
    [[nodiscard]] bool is_stalled() const { return stalled_h_.has_value(); }
    [[nodiscard]] bool is_finished() const { return finished_h_.has_value(); }

private:
    /// What the curves forecast at an earlier evaluation.
    struct Forecast {
        double hour;
        double thermal_h;       // usual
        double fall_12h_least;  // low end of the fall within twelve thermal hours
        double fall_24h_least;  // and within a day of them
        double left_least;      // low end of what was left to ferment
        double per_day;         // rate, negative
        /// Low end of the fall within so many thermal hours, up to a day.
        [[nodiscard]] double fall_least(double hours) const;
    };
    void judge_by_hand(const Evaluation& evaluation);
    void judge_end_by_hand(const Evaluation& evaluation);
    void judge_start(const Evaluation& evaluation);
    void judge_overdue(const Evaluation& evaluation);
    void start(const Evaluation& evaluation, std::string evidence);
    void judge_stall(const Evaluation& evaluation);
    [[nodiscard]] std::optional<GravityRecord::Trend> flat_trend(const Evaluation& evaluation) const;
    void judge_finish(const Evaluation& evaluation);
    void judge_resumed(const Evaluation& evaluation);
    void remember(const Evaluation& evaluation);
    [[nodiscard]] const Forecast* forecast_at(double hour) const;
    [[nodiscard]] double steepest() const;  // points per day that were believed lately, negative
    void stall(const Evaluation& evaluation, const GravityRecord::Level& now, const std::string& why);
    void finish(const Evaluation& evaluation, const GravityRecord::Level& now, std::string evidence);
    void decide(FactKind kind, const Evaluation& evaluation, std::string evidence);
    void revoke(FactKind kind, const Evaluation& evaluation, const std::string& because);

    std::vector<Fact> facts_;
    std::optional<double> started_h_;
    std::optional<double> stalled_h_;
    std::optional<double> finished_h_;
    double level_then_ = 0;  // of the sensor, when it stalled or finished
    double level_then_sigma_ = 0;
    int evaluations_of_stall_ = 0;
    int evaluations_of_end_ = 0;
    std::deque<Forecast> forecasts_;
    ChangePoints change_points_;
};

}  // namespace gyled::estimation::gravity
