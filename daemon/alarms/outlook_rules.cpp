#include <algorithm>
#include <array>

#include "daemon/alarms/judging.hpp"

// What would come to pass: pressure after cooling has failed, vacuum at the end of a cold crash.
namespace gyled::alarms {
namespace {

using base::HeadSpace;
using base::Quantity;
using namespace std::chrono_literals;

/// A spunding valve lets the gas go as the beer warms; a regulator does not.
bool holds_gas_in(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::supplied;
}
/// A spunding valve lets nothing in; a regulator does.
bool keeps_air_out(HeadSpace mode) {
    return mode == HeadSpace::sealed || mode == HeadSpace::spunded;
}

Finding warm_pressure(const Scene& scene) {
    if (!scene.now.pressure_limit_kpa || !holds_gas_in(scene.now.head_space))
        return {.verdict = Verdict::dropped};
    const auto warm = believed(scene.now, Quantity::warm_pressure);
    if (!warm || all_silent(scene.now, Quantity::beer_temperature)) return {};
    return {.verdict = above(*warm, *scene.now.pressure_limit_kpa, scene.deadband),
            .at = scene.now.at,
            .value = warm,
            .limit = scene.now.pressure_limit_kpa};
}

Words warm_raised(const Story& story) {
    return {.title = headline(who(story.scene), ": too much gas to warm up shut"),
            .text = "If cooling failed and the beer warmed up, head pressure would reach about " +
                    story.display.text(Quantity::warm_pressure, *story.finding.value) +
                    "; the lowest rated part is good for " +
                    story.display.text(Quantity::warm_pressure, *story.finding.limit) + "."};
}

Words warm_over(const Story& story) {
    return {.title = headline(who(story.scene), ": safe again if it warms up"),
            .text = "Warmed up, head pressure would stay below the limit again. " +
                    lasted_and_worst(story, Quantity::warm_pressure)};
}

Finding vacuum_ahead(const Scene& scene) {
    if (scene.now.stage != base::StageKind::crash || !keeps_air_out(scene.now.head_space))
        return {.verdict = Verdict::dropped};
    const auto crash = believed(scene.now, Quantity::crash_pressure);
    if (!crash || all_silent(scene.now, Quantity::head_pressure)) return {};
    // Without a maker's word: the doubt of a sensor.
    const double limit = scene.now.vacuum_limit_kpa < 0 ? scene.now.vacuum_limit_kpa : -2.0;
    return {.verdict = below(*crash, limit, scene.deadband),
            .at = scene.now.at,
            .value = crash,
            .limit = limit,
            .low_side = true};
}

Words vacuum_ahead_raised(const Story& story) {
    return {.title = headline(who(story.scene), ": the crash will pull a vacuum"),
            .text = "Cold beer takes up gas for days: head pressure would end near " +
                    story.display.text(Quantity::crash_pressure, *story.finding.value) +
                    ", and the vessel bears no less than " +
                    story.display.text(Quantity::crash_pressure, *story.finding.limit) + "."};
}

Words vacuum_ahead_over(const Story& story) {
    return {.title = headline(who(story.scene), ": no vacuum ahead any more"),
            .text = "The crash will end above the vacuum limit. " +
                    lasted_and_worst(story, Quantity::crash_pressure)};
}

constexpr std::array rules{
    Rule{
        .info = {.name = "warm_pressure_above_limit",
                 .meaning = "sealed beer that warmed up would exceed the lowest rated part",
                 .priority = Priority::medium,
                 .safety = false},
        .on_delay = 30min,
        .off_delay = 30min,
        .deadband = 5,
        .explained_by = {},
        .first_aid =
            "Keep it cold, and let some gas off slowly through the part made for it if the cooling cannot be "
            "trusted. The relief valve must stay free; the plate decides. CO2 gathers low: air the room.",
        .judge = warm_pressure,
        .raised = warm_raised,
        .over = warm_over},
    Rule{.info = {.name = "vacuum_ahead",
                  .meaning = "a sealed cold crash would end below the vacuum limit",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = 10min,
         .off_delay = 30min,
         .deadband = 2,
         .explained_by = "pressure_below_vacuum_limit",
         .first_aid =
             "Give it CO2 from a regulator at low pressure while it cools, within the vessel's rating; thin "
             "vessels may be rated for no vacuum at all.",
         .judge = vacuum_ahead,
         .raised = vacuum_ahead_raised,
         .over = vacuum_ahead_over},
};

}  // namespace

std::span<const Rule> outlook_rules() {
    return rules;
}

}  // namespace gyled::alarms
