#include <cmath>

#include "daemon/batch/planned_stage.hpp"
#include "daemon/batch/plate.hpp"
#include "daemon/brewing/sealed_vessel.hpp"
#include "daemon/brewing/steam.hpp"
#include "daemon/brewing/water.hpp"

// What cooling behind a shut valve leaves in the head space. kPa gauge, degC.
namespace gyled::batch {
namespace {

using base::Pressure;

double vacuum_limit(const PlannedStage& planned) {
    const double rated = planned.vessel().vacuum_limit_kpa;
    return rated < 0 ? rated : planned.parameters.vacuum_unrated_kpa;
}

std::string vacuum_words(const PlannedStage& planned) {
    const double rated = planned.vessel().vacuum_limit_kpa;
    return rated < 0 ? "the vessel bears no less than " + planned.pressure(rated)
                     : "the vessel has no vacuum rating";
}

/// At what pressure a stage leaves the beer; nothing when its plan does not say.
std::optional<double> left_at_kpa(const StagePlan& stage) {
    if (stage.head_space == HeadSpace::vented) return 0;
    return stage.head_space == HeadSpace::sealed ? std::nullopt : stage.head_pressure_kpa;
}

double cooled_kpa(const PlannedStage& planned, double from_kpa, double from_c, double to_c) {
    const Pressure air = planned.around.ambient;
    const double litres = planned.plan.volume_l;
    const brewing::SealedVessel shut{litres, planned.vessel().total_volume_l - litres};
    return brewing::pressure_after(shut, {from_c, Pressure::from_kpa_gauge(from_kpa, air)}, to_c)
        .kpa_gauge(air);
}

/// From where the worst case ends without a vacuum; nothing when the parts do not bear so much.
std::optional<double> begin_at_kpa(const PlannedStage& planned, const Band& warm, const Band& cold) {
    const auto most = highest_set_kpa(planned.vessel());
    const double needed = std::ceil(cooled_kpa(planned, 0, cold.low, warm.high));
    return most && needed <= *most ? std::optional{needed} : std::nullopt;
}

/// A crash of which the plan does not say where it begins or ends.
std::optional<Finding> unknown_crash(const PlannedStage& planned) {
    if (planned.stage().kind != StageKind::crash || planned.vessel().vacuum_limit_kpa < 0)
        return std::nullopt;
    return planned.finding(
        Severity::doubtful, "head_space", std::nullopt,
        fmt::format(
            "the vessel is {} while it cools, and it has no vacuum rating: cold beer takes up the gas above "
            "it. Feed it CO2 at low pressure while it cools: head_space = \"supplied\" fits.",
            base::name(planned.stage().head_space)));
}

/// From where wort is chilled or a vessel rinsed cold, degC; nothing for other stages, or when nobody knows.
/// What is chilled was boiling unless the plan says otherwise.
std::optional<double> hot_before(const PlannedStage& planned) {
    const bool chills = planned.stage().kind == StageKind::chill;
    if (!chills && !base::is_cleaning(planned.stage().kind)) return std::nullopt;
    const auto* before = planned.before();
    const bool boiled = before == nullptr || before->kind == StageKind::boil;
    if (const auto hot = boiled ? std::nullopt : temperatures(*before)) return hot->low;
    return chills ? std::optional{brewing::boiling_point_c(planned.around.ambient)} : std::nullopt;
}

}  // namespace

std::optional<Finding> steam_check(const PlannedStage& planned) {
    const auto cold = temperatures_at_end(planned.stage());
    const auto hot = hot_before(planned);
    if (!keeps_air_out(planned.stage()) || !cold || !hot) return std::nullopt;
    const double hot_c = *hot;
    const Pressure air = planned.around.ambient;
    const double end = brewing::pressure_after_condensing({hot_c, air}, cold->high).kpa_gauge(air);
    if (!(end < vacuum_limit(planned))) return std::nullopt;
    return planned.finding(
        Severity::dangerous, "head_space", std::nullopt,
        fmt::format("the vessel is {} while it cools from {} to {}: its steam condenses and leaves {} within "
                    "minutes, and {}. Only head_space = \"vented\" fits.",
                    base::name(planned.stage().head_space), planned.temperature(hot_c),
                    planned.temperature(cold->high), planned.pressure(end), vacuum_words(planned)));
}

std::optional<Finding> cooling_check(const PlannedStage& planned) {
    const StagePlan& stage = planned.stage();
    const bool makes_gas = stage.kind == StageKind::ferment || stage.kind == StageKind::rest;
    if (!base::is_cold_side(stage.kind) || makes_gas || !keeps_air_out(stage) ||
        planned.plan.volume_l > planned.vessel().total_volume_l)
        return std::nullopt;
    const auto* before = planned.before();
    const auto cold = temperatures_at_end(stage);
    const auto warm = before != nullptr ? temperatures_at_end(*before) : std::nullopt;
    const auto from_kpa = before != nullptr ? left_at_kpa(*before) : std::nullopt;
    if (!cold || !warm || !from_kpa) return unknown_crash(planned);
    if (cold->high >= warm->low) return std::nullopt;  // no cooling is planned
    const double harmless = cooled_kpa(planned, *from_kpa, warm->low, cold->high);
    const double worst = cooled_kpa(planned, *from_kpa, warm->high, cold->low);
    if (!(worst < vacuum_limit(planned))) return std::nullopt;
    const bool is_certain = harmless < vacuum_limit(planned);
    const auto begin = begin_at_kpa(planned, *warm, *cold);
    return planned.finding(
        is_certain ? Severity::dangerous : Severity::doubtful, "head_space", begin,
        fmt::format(
            "shut in at {} and cooled to {}, it {} down to {}, for cold beer takes up the gas above it, and "
            "{}. Feed it CO2 at low pressure while it cools: head_space = \"supplied\" fits{}.",
            planned.pressure(*from_kpa), planned.temperature(is_certain ? cold->high : cold->low),
            is_certain ? "goes" : "may go", planned.pressure(is_certain ? harmless : worst),
            vacuum_words(planned), begin ? "; so does shutting it in at " + planned.pressure(*begin) : ""));
}

}  // namespace gyled::batch
