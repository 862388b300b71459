#pragma once
/// Decides what has happened to a fermentation: started, stalled, finished, resumed; and takes it back.
///
/// Needs agreement of the believed curves and of the bare readings, so that neither a wrong curve nor a lying
/// sensor decides alone. Cold yeast decides nothing: a beer that sleeps has not finished. A value. Gravities
/// in points, times in hours since pitching.

#include <deque>
#include <optional>
#include <vector>

#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gravity_population.hpp"
#include "daemon/estimation/gravity_record.hpp"

namespace gyled::estimation {

/// What is to be judged, once per hour or so.
struct Look {
    base::Timestamp at;
    Present present;
    const GravityRecord& record;
    const CurvePopulation& curves;
    double awake = 1;              ///< wakefulness over the last half day, 0 to 1
    std::optional<double> woke_h;  ///< when it was warm again after a cold sleep
    double foreseen_final = 10;    ///< what brewer or culture let expect, points
    double foreseen_sigma = 3;
    bool is_mixed = false;
    double certainty_to_finish = 0.85;  ///< of being within 0.0007 of the end
};

class FermentationJudge {
public:
    /// Where the curve has turned, as far as the facts say.
    Turns judge(const Look& look);

    [[nodiscard]] const std::vector<Fact>& facts() const { return facts_; }
    [[nodiscard]] const Turns& turns() const { return turns_; }
    [[nodiscard]] bool is_started() const { return started_h_.has_value(); }
    [[nodiscard]] bool is_stalled() const { return stalled_h_.has_value(); }
    [[nodiscard]] bool is_finished() const { return finished_h_.has_value(); }

private:
    /// What was foreseen at an earlier look.
    struct Forecast {
        double hour;
        double thermal_h;       // usual
        double fall_12h_least;  // low end of the fall within twelve thermal hours
        double left_least;      // low end of what was left to ferment
    };
    void look_for_start(const Look& look);
    void look_for_stall(const Look& look);
    void look_for_finish(const Look& look);
    void look_for_more(const Look& look);
    void remember(const Look& look);
    void decide(FactKind kind, const Look& look, std::string evidence);
    void revoke(FactKind kind, const Look& look, std::string because);

    std::vector<Fact> facts_;
    std::optional<double> started_h_;
    std::optional<double> stalled_h_;
    std::optional<double> finished_h_;
    double level_then_ = 0;  // of the sensor, when it stalled or finished
    double level_then_sigma_ = 0;
    int hours_of_stall_ = 0;
    int hours_of_end_ = 0;
    std::deque<Forecast> forecasts_;
    Turns turns_;
};

}  // namespace gyled::estimation
