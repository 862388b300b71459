#include <algorithm>
#include <cmath>

#include "daemon/batch/planned_stage.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/freezing.hpp"

// What a stage of the plan does to the temperature: heat behind a shut valve, and ice. degC.
namespace gyled::batch {
namespace {

/// Where what is in there begins to freeze. While it ferments it counts as wort: nobody knows how much of it
/// is alcohol yet, and it errs on the warm, the safe side. What is not known counts as nothing.
double ice_point_c(const PlannedStage& planned) {
    const Plan& plan = planned.plan;
    if (!plan.original_gravity) return brewing::freezing_point_c(0, 0);
    const double original = brewing::plato_from_sg(*plan.original_gravity);
    if (planned.stage().kind == StageKind::ferment || !plan.expected_final_gravity)
        return brewing::freezing_point_c(0, original);
    return brewing::freezing_point_c(brewing::alcohol_by_weight_percent(brewing::Gravities{
                                         *plan.original_gravity, *plan.expected_final_gravity}),
                                     original);
}

const char* beer_words(const PlannedStage& planned) {
    if (planned.stage().kind == StageKind::ferment) return "wort";
    const bool is_known = planned.plan.original_gravity && planned.plan.expected_final_gravity;
    return is_known ? "this beer" : "a beer without original_gravity and expected_final_gravity";
}

}  // namespace

std::optional<Finding> heat_check(const PlannedStage& planned) {
    const auto range = temperatures(planned.stage());
    const double most = planned.parameters.hot_c;
    const bool boils = planned.stage().kind == StageKind::boil;
    if (!is_shut(planned.stage()) || (!boils && !(range && range->high > most))) return std::nullopt;
    return planned.finding(
        Severity::dangerous, "head_space", std::nullopt,
        fmt::format(
            "the vessel is {} and is heated to {}: steam builds pressure. No heat above {} unless it is "
            "open to the air. Only head_space = \"vented\" fits.",
            base::name(planned.stage().head_space), boils ? "the boil" : planned.temperature(range->high),
            planned.temperature(most)));
}

std::optional<Finding> freezing_check(const PlannedStage& planned) {
    const auto range = temperatures(planned.stage());
    if (!base::is_cold_side(planned.stage().kind) || !range) return std::nullopt;
    const double ice_c = ice_point_c(planned);
    if (range->low >= ice_c) return std::nullopt;
    const bool bursts = is_shut(planned.stage()) &&
                        temperatures_at_end(planned.stage())->high < ice_c - planned.parameters.freezing_c;
    constexpr double tenth = 0.1;
    const double fits = std::ceil(ice_c / tenth) * tenth;
    const bool is_the_end = planned.stage().end.temperature_c == range->low;
    return planned.finding(
        bursts ? Severity::dangerous : Severity::doubtful, is_the_end ? "end" : "temperature_c", fits,
        fmt::format("{} is below {}, where {} begins to freeze{}. {:.1f} degC or warmer fits.",
                    planned.temperature(range->low), planned.temperature(ice_c), beer_words(planned),
                    bursts ? "; ice bursts a shut vessel" : "", fits));
}

}  // namespace gyled::batch
