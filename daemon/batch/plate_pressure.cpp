#include <algorithm>

#include "daemon/batch/planned_stage.hpp"
#include "daemon/batch/plate.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/plausible.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/solubility.hpp"

// What a stage of the plan does to the pressure, against the lowest rated part. kPa gauge.
namespace gyled::batch {
namespace {

using base::Pressure;

std::string may_lift_words(const PlannedStage& planned) {
    return "where a relief valve marked " + planned.pressure(*planned.vessel().relief_pressure_kpa) +
           " may lift already";
}

/// Of beer that holds its target at this temperature; the beer factor is the doubt of solubility.
double needed_kpa(const PlannedStage& planned, double celsius, double beer_factor) {
    return brewing::pressure_for_volumes(celsius, *planned.plan.target_co2_volumes, beer_factor)
        .kpa_gauge(planned.around.ambient);
}

double volumes_that_fit(const PlannedStage& planned, double celsius) {
    const auto highest = Pressure::from_kpa_gauge(planned.highest_set(), planned.around.ambient);
    return rounded_down(brewing::volumes_in_beer(celsius, highest, brewing::beer_factor_low),
                        planned.parameters.volumes_step);
}

bool holds_the_target(const StagePlan& stage) {
    const bool is_kind = stage.kind == StageKind::carbonate || stage.kind == StageKind::condition ||
                         stage.kind == StageKind::serve;
    return is_shut(stage) && (is_kind || stage.end.when == StageEnd::When::carbonated);
}

/// All the extract of the plan ferments in this stage: nothing of the cold side came before it.
bool takes_all_the_sugar(const PlannedStage& planned) {
    const auto& stages = planned.plan.stages;
    const auto pitched =
        std::ranges::find_if(stages, [](const StagePlan& each) { return base::is_cold_side(each.kind); });
    return planned.stage().kind == StageKind::ferment &&
           pitched - stages.begin() == std::ptrdiff_t(planned.index);
}

/// The CO2 of all that extract in beer and head space, at the least: cold, well dissolved, and no more of it
/// than the balance was made for. Gauge, as the air stays in there.
double fermented_kpa(const PlannedStage& planned, double celsius) {
    const Plan& plan = planned.plan;
    const double volumes = brewing::co2_volumes_from_drop(
        {*plan.original_gravity, *plan.original_gravity, *plan.expected_final_gravity});
    const brewing::SealedVessel shut{plan.volume_l, planned.vessel().total_volume_l - plan.volume_l,
                                     brewing::beer_factor_high};
    return brewing::settled_co2_kpa(shut, std::min(volumes, brewing::plausible_co2_volumes.high), celsius);
}

}  // namespace

std::optional<Finding> relief_valve_check(const PlannedStage& planned) {
    if (planned.vessel().relief_pressure_kpa || !is_shut(planned.stage())) return std::nullopt;
    const auto most = planned.vessel().lowest_limit_kpa();
    return planned.finding(
        Severity::dangerous, "head_space", most,
        fmt::format(
            "the vessel is {}, and no relief valve is known of it. Fit one that opens at or below {}, "
            "and write relief_pressure_kpa{} in its [[vessel]]; without one only head_space = "
            "\"vented\" fits.",
            base::name(planned.stage().head_space), most ? planned.pressure(*most) : "what its plate says",
            most ? fmt::format(" = {:g} or less", *most) : ""));
}

std::optional<Finding> set_point_check(const PlannedStage& planned) {
    const auto& set = planned.stage().head_pressure_kpa;
    const auto limit = planned.vessel().lowest_limit_kpa();
    if (!set || !limit || !is_shut(planned.stage()) || *set <= *highest_set_kpa(planned.vessel()))
        return std::nullopt;
    const bool is_above = *set > *limit;
    const bool is_spunded = planned.stage().head_space == HeadSpace::spunded;
    return planned.finding(
        is_above ? Severity::dangerous : Severity::doubtful, "head_pressure_kpa", planned.highest_set(),
        fmt::format("the {} is set to {}, {}. {}", is_spunded ? "spunding valve" : "regulator",
                    planned.pressure(*set),
                    is_above ? "and " + planned.lowest_part_words() : may_lift_words(planned),
                    at_most("head_pressure_kpa", planned.highest_set())));
}

std::optional<Finding> band_check(const PlannedStage& planned) {
    const auto& band = planned.stage().pressure_kpa;
    const auto limit = planned.vessel().lowest_limit_kpa();
    if (!band || !limit) return std::nullopt;
    const double most = planned.highest_set();
    const std::string fit =
        fmt::format("At most pressure_kpa = [{:g}, {:g}] fits.", std::min(band->low, most), most);
    if (band->high > *limit)
        return planned.finding(
            Severity::dangerous, "pressure_kpa", most,
            fmt::format("its pressure band is {} to {}, and {}. {}", planned.pressure(band->low),
                        planned.pressure(band->high), planned.lowest_part_words(), fit));
    if (band->low <= *highest_set_kpa(planned.vessel())) return std::nullopt;
    return planned.finding(Severity::doubtful, "pressure_kpa", most,
                           fmt::format("its pressure band begins at {}, {}. {}", planned.pressure(band->low),
                                       may_lift_words(planned), fit));
}

std::optional<Finding> carbonation_check(const PlannedStage& planned) {
    const auto limit = planned.vessel().lowest_limit_kpa();
    const auto& band = planned.stage().temperature_c;
    if (!limit || !band || !planned.plan.target_co2_volumes || !holds_the_target(planned.stage()))
        return std::nullopt;
    const double least = needed_kpa(planned, band->low, brewing::beer_factor_typical);
    const double most = needed_kpa(planned, band->high, brewing::beer_factor_low);
    if (!(most > *limit)) return std::nullopt;
    const bool is_certain = least > *limit;
    const double fits = volumes_that_fit(planned, band->high);
    return planned.finding(
        is_certain ? Severity::dangerous : Severity::doubtful, "target_co2_volumes", fits,
        fmt::format("{:.2f} volumes of CO2 {} {} at {}, and {}. {}", *planned.plan.target_co2_volumes,
                    is_certain ? "need" : "may need", planned.pressure(is_certain ? least : most),
                    planned.temperature(is_certain ? band->low : band->high), planned.lowest_part_words(),
                    at_most("target_co2_volumes", fits)));
}

std::optional<Finding> sugar_check(const PlannedStage& planned) {
    const auto limit = planned.vessel().lowest_limit_kpa();
    const auto range = temperatures(planned.stage());
    if (!limit || !range || planned.stage().head_space != HeadSpace::sealed ||
        !takes_all_the_sugar(planned) || !planned.plan.original_gravity ||
        !planned.plan.expected_final_gravity)
        return std::nullopt;
    const double end = fermented_kpa(planned, range->low);
    if (!(end > *limit)) return std::nullopt;
    return planned.finding(
        Severity::dangerous, "head_space", std::nullopt,
        fmt::format(
            "the vessel is sealed while all of {:.3f} to {:.3f} ferments: the pressure would pass {}, and "
            "{}. head_space = \"vented\" fits, or \"spunded\" with head_pressure_kpa = {:g} at most.",
            *planned.plan.original_gravity, *planned.plan.expected_final_gravity, planned.pressure(end),
            planned.lowest_part_words(), planned.highest_set()));
}

}  // namespace gyled::batch
