#pragma once
/// A plan against the vessel's plate, before anybody turns a valve: what of it the vessel does not bear, with
/// the number that would fit. Pure functions; any thread; nothing throws. **The plate, the relief valve and
/// licensed practice decide, not this:** an empty list is no sign that a plan is safe.

#include <optional>
#include <string>
#include <vector>

#include "daemon/base/pressure.hpp"
#include "daemon/batch/plan.hpp"
#include "daemon/brewing/freezing.hpp"
#include "daemon/brewing/relief.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/vacuum.hpp"
#include "daemon/display/display.hpp"

namespace gyled::batch {

enum class Severity : std::uint8_t {
    doubtful,   ///< may be meant so: a person has to confirm it
    dangerous,  ///< refused; no confirmation helps
};
[[nodiscard]] std::string_view name(Severity severity);

struct Finding {
    Severity severity{};
    std::optional<std::size_t>
        stage;         ///< of the plan, 0 is the first; nothing: of batch or vessel as a whole
    std::string key;   ///< of the batch file, of [[vessel]] when only that was looked at
    std::string text;  ///< for people, in their units: where, what, and what would fit
    std::optional<double>
        fits;  ///< in the key's own unit (kPa gauge, L, degC, volumes); never above a rating
};
using Findings = std::vector<Finding>;

struct PlateParameters {
    double head_space_percent = brewing::headspace_percent_min;  ///< of brimful, once shut: liquid swells
    double hot_c = brewing::heat_only_open_above_c;  ///< degC; from here on only open to the air: steam
    double vacuum_unrated_kpa = brewing::unrated_vacuum_kpa;  ///< when the maker gives none
    double freezing_c = brewing::freezing_point_doubt_c;  ///< degC; so far may the freezing point be wrong
    double volumes_step = 0.05;  ///< volumes; a target that fits is rounded down to it
    double volume_step_l = 0.1;  ///< L; likewise
};

/// What the plan meets: the vessel, the air outside, and the units in which to speak of it.
struct Surroundings {
    const VesselSpec& vessel;
    base::Pressure ambient;
    const display::Display& display;
};

/// The vessel alone: a relief valve that opens above the plate or the weakest fitting is dangerous; none at
/// all is doubtful until a batch shuts the vessel.
[[nodiscard]] Findings check_vessel(const VesselSpec& vessel, const display::Display& display);

/// The plan from stage `first` on, in the order of its stages; what concerns the whole batch comes first, and
/// a missing relief valve is said once. Where a forecast is needed, it is dangerous when even its harmless
/// end passes the limit, doubtful when only the other end does.
[[nodiscard]] Findings check_plan(const Plan& plan, const Surroundings& around, std::size_t first = 0,
                                  const PlateParameters& parameters = {});
/// One stage alone, as it is about to be entered. Precondition: the plan has it.
[[nodiscard]] Findings check_stage(const Plan& plan, std::size_t index, const Surroundings& around,
                                   const PlateParameters& parameters = {});

/// Those of `after` that `before` did not have, or had as doubtful only: what a change brings with it.
[[nodiscard]] Findings brought_by(const Findings& before, Findings after);
[[nodiscard]] bool is_dangerous(const Findings& findings);

}  // namespace gyled::batch
