#pragma once
/// What follows each reading: the room left below the limit, when the limit would be met, when a temperature
/// is reached, what the relief valve does, a purge. Everything else is believed on the estimators' grid.
/// Thread: the core's.

#include "daemon/alarms/situation.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "daemon/estimation/gas/purge.hpp"
#include "daemon/estimation/gas/rise.hpp"
#include "daemon/estimation/trend/dough_in.hpp"
#include "daemon/estimation/trend/heating.hpp"
#include "daemon/estimation/trend/pressure_trend.hpp"

namespace gyled::cellar {

/// Chosen from instruments and custom, not on simulation.
struct ShortRunParameters {
    double head_pressure_error_kpa =
        2.0;  ///< kPa, 90 %: half a percent of a 5 bar span and its zero drift (common practice)
    double near_empty_kpa = 20;  ///< gauge; below it a fall is asked for: from there a vacuum is near
    base::Duration just_shut =
        std::chrono::minutes{30};  ///< then the grid has seen a quarter of an hour of it
    double open_below_kpa = 5;     ///< gauge: below it the vessel was open when it was shut
    double share_doubt =
        0.6;  ///< relative, 90 %, of what the beer leaves above it: as for the sugar (RiseParameters)
    double hot_c = 40;  ///< above it the pressure of before is asked for: steam that condenses counts
};

class ShortRun {
public:
    /// The vessel's heater, when the configuration tells it, for waiting times before its own rate has been
    /// seen.
    explicit ShortRun(const batch::VesselSpec& vessel);

    void add(base::Quantity quantity, base::Timestamp at, double gauge_value);
    /// What the relief valve has done lately; nothing when it was not seen to open.
    [[nodiscard]] std::optional<estimation::gas::ReliefHistory> relief() const { return relief_.history(); }
    /// A purge that has ended by `now`, once.
    [[nodiscard]] std::optional<estimation::gas::PurgeWatch::Purge> take_purge(base::Timestamp now) {
        return purge_.take(now);
    }
    /// The grain, if it looks as if it had met the liquor in the last minutes.
    [[nodiscard]] std::optional<estimation::trend::DoughInWatch::DoughIn> dough_in() const {
        return dough_in_.seen();
    }
    /// What of it the recent readings do not bring back.
    [[nodiscard]] PressureMemory memory() const { return {relief_.memory(), purge_.memory()}; }
    void restore(const PressureMemory& memory);
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);
    /// What this vessel's heat-ups have taught.
    [[nodiscard]] const estimation::trend::LearnedHeat& learned_heat() const { return heating_.learned(); }
    void set_learned_heat(const estimation::trend::LearnedHeat& learned) { heating_.set_learned(learned); }
    /// A heat-up has come to its target; false when it taught nothing.
    bool learn_heat() { return heating_.learn(); }
    /// The volume that is heated; nothing when no batch is in the vessel.
    void set_volume(std::optional<double> litres);
    /// Writes pressure_headroom, limit_time, ready_time and heated_volume into `estimates`, or takes out what
    /// nobody could know. `stage`: the plan's stage under way; null when there is none.
    void refresh(const alarms::Situation& situation, const batch::StagePlan* stage,
                 base::Estimates& estimates) const;
    /// How the readings move now, and where the stage takes them.
    [[nodiscard]] alarms::Movement movement(const alarms::Situation& situation,
                                            const batch::StagePlan* stage) const;

    /// How the gauge of a vessel that was shut within the last half hour has risen since; later the grid
    /// knows.
    [[nodiscard]] std::optional<estimation::gas::Rise> rise_since_shut(
        const alarms::Situation& situation) const;

    /// degC at which the chilling of this stage ends short of what the plan wants; nothing unless certain.
    [[nodiscard]] std::optional<base::Estimate> levels_off_c(const batch::StagePlan& stage) const;

    /// Has head pressure been seen for so long that a rise would have shown?
    [[nodiscard]] bool knows_pressure_trend() const { return pressure_.would_show_a_rise(); }

private:
    void foresee_limit(const alarms::Situation& situation, base::Estimates& estimates) const;
    /// Of yeast's gas in a vessel that was open until its stage began; nothing else is known to slow down.
    [[nodiscard]] std::optional<estimation::trend::Settling> settling(
        const alarms::Situation& situation) const;
    void foresee_temperature(const alarms::Situation& situation, const batch::StagePlan& stage,
                             base::Estimates& estimates) const;

    std::optional<double> relief_mark_kpa_;
    estimation::gas::ReliefWatch relief_;
    estimation::gas::PurgeWatch purge_;
    estimation::trend::PressureTrend pressure_;
    estimation::trend::HeatingTrend heating_;
    estimation::trend::DoughInWatch dough_in_;
};

}  // namespace gyled::cellar
