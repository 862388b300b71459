#include "daemon/batch/plate_check.hpp"

#include <algorithm>
#include <array>

#include "daemon/batch/planned_stage.hpp"

namespace gyled::batch {
namespace {

constexpr std::array stage_checks{relief_valve_check, set_point_check, band_check,
                                  carbonation_check,  sugar_check,     heat_check,
                                  steam_check,        cooling_check,   freezing_check};

/// How much the beer swells from the coldest of the plan to what failed cooling leads to, percent.
double swelling_percent(const Plan& plan, const VesselSpec& vessel) {
    double coldest = vessel.warmest_c;
    for (const StagePlan& stage : plan.stages)
        if (const auto range = temperatures(stage)) coldest = std::min(coldest, range->low);
    return brewing::liquid_expansion_percent(coldest, vessel.warmest_c);
}

/// Is there liquid in the vessel, and no way out? The stages around a batch find it empty, or shut it for
/// hours.
bool shuts_the_beer_in(const StagePlan& stage) {
    return is_shut(stage) && !base::is_cleaning(stage.kind) && !base::leaves_contents(stage.kind);
}

std::optional<Finding> volume_check(const Plan& plan, const VesselSpec& vessel, const PlateParameters& p) {
    const double brimful = vessel.total_volume_l;
    const double most = rounded_down(brimful * (1 - p.head_space_percent / 100), p.volume_step_l);
    const std::string& name = vessel.name.empty() ? vessel.id : vessel.name;
    const auto found = [&](Severity severity, const std::string& words) {
        return Finding{severity, std::nullopt, "volume_l", words + " " + at_most("volume_l", most), most};
    };
    if (plan.volume_l > brimful)
        return found(Severity::dangerous, fmt::format("{:.1f} L do not fit into {}: it holds {:.1f} L.",
                                                      plan.volume_l, name, brimful));
    if (plan.volume_l == brimful)
        return found(Severity::dangerous, fmt::format("{:.1f} L fill {} to the brim.", plan.volume_l, name));
    const double percent = 100 * (1 - plan.volume_l / brimful);
    if (plan.volume_l <= most || percent >= p.head_space_percent ||
        std::ranges::none_of(plan.stages, shuts_the_beer_in))
        return std::nullopt;
    const bool bursts = percent <= swelling_percent(plan, vessel);
    return found(bursts ? Severity::dangerous : Severity::doubtful,
                 fmt::format("{:.1f} L leave {:.1f} % of {} as head space, and the plan shuts it: {}.",
                             plan.volume_l, percent, name,
                             bursts ? "as it warms up the beer swells to the brim and bursts the vessel"
                                    : "foam blocks its vent and its relief valve"));
}

}  // namespace

std::string_view name(Severity severity) {
    return severity == Severity::dangerous ? "dangerous" : "doubtful";
}

Findings check_vessel(const VesselSpec& vessel, const display::Display& display) {
    const auto pressure = [&](double kpa) { return display.text(base::Quantity::head_pressure, kpa); };
    const auto& relief = vessel.relief_pressure_kpa;
    if (!relief)
        return {
            {Severity::doubtful, std::nullopt, "relief_pressure_kpa",
             "relief_pressure_kpa is not given: as far as is known this vessel has no relief valve, and a "
             "batch that shuts it will be refused",
             vessel.lowest_limit_kpa()}};
    Findings found;
    const auto compare = [&](const std::optional<double>& rating, const char* whose, const char* what) {
        if (!rating || *relief <= *rating) return;
        found.push_back(
            {Severity::dangerous, std::nullopt, "relief_pressure_kpa",
             fmt::format(
                 "relief_pressure_kpa: the relief valve opens at {}, above the {} {}. DANGER: the {} could "
                 "burst before the valve opens. Check it and the valve; do not pressurise this vessel "
                 "until the valve is set at {:g} kPa or below",
                 pressure(*relief), pressure(*rating), whose, what, *rating),
             rating});
    };
    compare(vessel.working_pressure_kpa, "on the vessel's plate", "vessel");
    compare(vessel.weakest_fitting_kpa, "that its weakest fitting is good for", "fitting");
    return found;
}

Findings check_stage(const Plan& plan, std::size_t index, const Surroundings& around,
                     const PlateParameters& parameters) {
    Findings found;
    for (const auto check : stage_checks)
        if (auto finding = check({plan, index, around, parameters})) found.push_back(std::move(*finding));
    return found;
}

Findings check_plan(const Plan& plan, const Surroundings& around, std::size_t first,
                    const PlateParameters& parameters) {
    Findings found;
    if (auto of_all = volume_check(plan, around.vessel, parameters)) found.push_back(std::move(*of_all));
    bool relief_is_said = false;
    for (std::size_t index = first; index < plan.stages.size(); ++index) {
        const PlannedStage planned{plan, index, around, parameters};
        for (const auto check : stage_checks) {
            if (check == relief_valve_check && relief_is_said) continue;
            auto finding = check(planned);
            if (!finding) continue;
            relief_is_said = relief_is_said || check == relief_valve_check;
            found.push_back(std::move(*finding));
        }
    }
    return found;
}

Findings brought_by(const Findings& before, Findings after) {
    std::erase_if(after, [&](const Finding& now) {
        return std::ranges::any_of(before, [&](const Finding& then) {
            return then.stage == now.stage && then.key == now.key && then.severity >= now.severity;
        });
    });
    return after;
}

bool is_dangerous(const Findings& findings) {
    return std::ranges::any_of(findings,
                               [](const Finding& each) { return each.severity == Severity::dangerous; });
}

}  // namespace gyled::batch
