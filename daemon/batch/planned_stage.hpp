#pragma once
/// Within the plate check: one stage of a plan in its vessel, with the words that its checks share. Refers to
/// plan and surroundings; they outlive it.

#include <fmt/format.h>

#include <optional>
#include <string>
#include <utility>

#include "daemon/batch/plate_check.hpp"

namespace gyled::batch {

struct PlannedStage {
    const Plan& plan;
    std::size_t index;
    const Surroundings& around;
    const PlateParameters& parameters;

    [[nodiscard]] const StagePlan& stage() const { return plan.stages[index]; }
    [[nodiscard]] const StagePlan* before() const { return index == 0 ? nullptr : &plan.stages[index - 1]; }
    [[nodiscard]] const VesselSpec& vessel() const { return around.vessel; }

    /// As the person reads them.
    [[nodiscard]] std::string pressure(double kpa) const;
    [[nodiscard]] std::string temperature(double celsius) const;
    /// "the relief valve opens at 1.80 bar". Precondition: a part's rating is known.
    [[nodiscard]] std::string lowest_part_words() const;
    /// A whole number of kPa, for a file. Precondition: a part's rating is known.
    [[nodiscard]] double highest_set() const;

    /// "Stage 9 (carbonate): ..." at that key.
    [[nodiscard]] Finding finding(Severity severity, std::string key, std::optional<double> fits,
                                  const std::string& words) const;
};

/// Gas and air do not pass freely.
[[nodiscard]] bool is_shut(const StagePlan& stage);
/// Nothing comes in as it cools.
[[nodiscard]] bool keeps_air_out(const StagePlan& stage);
/// From the coldest to the warmest that the stage's plan speaks of; nothing when it speaks of none. degC.
[[nodiscard]] std::optional<Band> temperatures(const StagePlan& stage);
/// Where the plan wants the beer at the end of the stage, degC; nothing when it does not say.
[[nodiscard]] std::optional<Band> temperatures_at_end(const StagePlan& stage);
/// To a whole number of steps, for a file; what is a whole number of them already stays.
[[nodiscard]] double rounded_down(double value, double step);
/// "At most head_pressure_kpa = 166 fits."
[[nodiscard]] std::string at_most(std::string_view key, double value);

// ---- the checks: at most one finding each; nothing when the stage passes, or when nobody could know

[[nodiscard]] std::optional<Finding> relief_valve_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> set_point_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> band_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> carbonation_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> sugar_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> heat_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> freezing_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> steam_check(const PlannedStage& planned);
[[nodiscard]] std::optional<Finding> cooling_check(const PlannedStage& planned);

}  // namespace gyled::batch
