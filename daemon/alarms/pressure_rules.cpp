#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/alarms/judging.hpp"

namespace gyled::alarms {
namespace {

using base::HeadSpace;
using base::Quantity;
using namespace std::chrono_literals;

constexpr std::string_view pressure_care =
    "Take off heat, or shut the gas supply, and see that the spunding valve or vent is free; let pressure "
    "off only "
    "through a part made for it. Never block the relief valve and never loosen a fitting under pressure. The "
    "relief "
    "valve and the vessel's plate decide, not this message; local codes apply. CO2 that is let off gathers "
    "low: air "
    "the room.";

std::optional<double> limit_of(const Situation& now) {
    if (!now.pressure_limit_kpa || !(*now.pressure_limit_kpa > 0)) return std::nullopt;
    return now.pressure_limit_kpa;
}

Words pressure_over(const Story& story) {
    std::string rest = ": pressure is down";
    if (story.finding.value) rest += " to " + story.display.text(Quantity::head_pressure, *story.finding.value);
    return {
        .title = headline(who(story.scene), rest),
        .text = "Pressure is away from its limit again. " + lasted_and_worst(story, Quantity::head_pressure)};
}

constexpr double last_step = 0.95;  // of the lowest rated part

/// Steps of the lowest rated part: 80, 90, 95 %. A spring relief valve wants at least 10 % between the
/// working pressure and its set point (common practice after API 520).
Finding near_limit(const Scene& scene) {
    const auto limit = limit_of(scene.now);
    if (!limit) return {.verdict = Verdict::dropped};
    const auto pressure = current(scene.now, Quantity::head_pressure);
    if (!pressure) return {};
    const double first_step = 0.80 * *limit;
    const double share = pressure->value / *limit;
    return {.verdict = above(pressure->value, first_step, std::min(scene.deadband, 0.05 * *limit)),
            .at = pressure->at,
            .value = pressure->value,
            .limit = limit,
            .urgency = share > last_step ? Priority::critical
                       : share > 0.90    ? Priority::high
                                         : Priority::medium};
}

Words near_limit_raised(const Story& story) {
    const double percent = std::floor(100.0 * *story.finding.value / *story.finding.limit);
    return {.title = headline(who(story.scene),
                              ": pressure at " + std::to_string(std::llround(percent)) + " % of its limit"),
            .text = "Head pressure is " + story.display.text(Quantity::head_pressure, *story.finding.value) +
                    "; the lowest rated part is good for " +
                    story.display.text(Quantity::head_pressure, *story.finding.limit) + "."};
}

constexpr double soon_hours = 2.0;
constexpr double very_soon_hours = 0.5;

/// Below the set point of a spunding valve or regulator a rise is what the person wants; past it nothing
/// holds it back.
bool rise_is_meant(const Situation& now, double pressure_kpa, double limit_kpa) {
    if (now.head_space != HeadSpace::spunded && now.head_space != HeadSpace::supplied) return false;
    if (!now.head_pressure_set_kpa) return false;
    const double set_kpa = *now.head_pressure_set_kpa;
    return set_kpa <= 0.9 * limit_kpa && pressure_kpa <= set_kpa + std::max(5.0, 0.1 * set_kpa);
}

Finding rising_to_limit(const Scene& scene) {
    const auto limit = limit_of(scene.now);
    if (!limit) return {.verdict = Verdict::dropped};
    const auto pressure = current(scene.now, Quantity::head_pressure);
    if (!pressure) return {};
    Finding found{.verdict = Verdict::within, .at = pressure->at, .value = pressure->value, .limit = limit};
    // So near that a rise which can no longer be seen proves nothing.
    if (pressure->value > last_step * *limit) found.verdict = Verdict::unknown;
    found.moment = believed(scene.now, Quantity::limit_time);
    if (!found.moment || rise_is_meant(scene.now, pressure->value, *limit)) return found;
    const double hours = (*found.moment - base::unix_seconds(scene.now.at)) / 3600.0;
    const Verdict outlook = below(hours, soon_hours, 0.25 * soon_hours);
    if (outlook != Verdict::within) found.verdict = outlook;
    found.urgency = hours < very_soon_hours ? Priority::critical : Priority::high;
    return found;
}

Words rising_raised(const Story& story) {
    const double seconds = *story.finding.moment - base::unix_seconds(story.scene.now.at);
    const Duration left{std::llround(std::clamp(seconds, 0.0, 86400.0) * 1000)};
    return {.title = headline(who(story.scene), ": pressure limit in " + display::duration_text(left)),
            .text = "At this rate head pressure, now " +
                    story.display.text(Quantity::head_pressure, *story.finding.value) +
                    ", reaches the limit of " +
                    story.display.text(Quantity::head_pressure, *story.finding.limit) + " at " +
                    story.display.text(Quantity::limit_time, *story.finding.moment) + "."};
}

Words rising_over(const Story& story) {
    std::string now = "Head pressure no longer heads for its limit";
    if (story.finding.value) now += ", now " + story.display.text(Quantity::head_pressure, *story.finding.value);
    return {.title = headline(who(story.scene), ": pressure no longer heads for its limit"),
            .text = now + ". " + lasted_and_worst(story, Quantity::head_pressure)};
}

/// Where vacuum begins to count: the plate decides. A maker who gives no limit promises none; then sensor
/// zero and, in a vented vessel, the weather on an absolute sensor (some 3 kPa) must not ring.
double vacuum_threshold_kpa(const Situation& now) {
    if (now.vacuum_limit_kpa < 0) return now.vacuum_limit_kpa;
    return now.head_space == HeadSpace::vented ? -4.0 : -2.0;
}

Finding below_vacuum_limit(const Scene& scene) {
    const auto pressure = current(scene.now, Quantity::head_pressure);
    if (!pressure) return {};
    const double limit = vacuum_threshold_kpa(scene.now);
    if (!std::isfinite(limit)) return {.verdict = Verdict::dropped};
    return {.verdict = below(pressure->value, limit, std::min(scene.deadband, -limit / 2)),
            .at = pressure->at,
            .value = pressure->value,
            .limit = limit,
            .low_side = true};
}

Words vacuum_raised(const Story& story) {
    return {.title = headline(who(story.scene),
                              ": vacuum, " + story.display.text(Quantity::head_pressure, *story.finding.value)),
            .text = "Head pressure is " + story.display.text(Quantity::head_pressure, *story.finding.value) +
                    "; the vessel bears no less than " +
                    story.display.text(Quantity::head_pressure, *story.finding.limit) + "."};
}

Words vacuum_over(const Story& story) {
    return {.title = headline(who(story.scene), ": vacuum is over"),
            .text = "Head pressure is above the vacuum limit again. " +
                    lasted_and_worst(story, Quantity::head_pressure)};
}

Finding out_of_band(const Scene& scene) {
    if (!scene.now.pressure_band_kpa || scene.pressure_on_its_way) return {.verdict = Verdict::dropped};
    const auto pressure = current(scene.now, Quantity::head_pressure);
    if (!pressure) return {};
    return against_band(*pressure, *scene.now.pressure_band_kpa, scene.deadband);
}

Words out_of_band_raised(const Story& story) {
    const Finding& f = story.finding;
    const std::string seen = story.display.text(Quantity::head_pressure, *f.value);
    const bool high = !f.low_side;
    return {
        .title = headline(who(story.scene), (high ? ": pressure is high, " : ": pressure is low, ") + seen),
        .text = "Head pressure is " + seen + (high ? ", above " : ", below ") +
                story.display.text(Quantity::head_pressure, *f.limit) + ", the stage's limit, for " +
                display::duration_text(std::max(story.lasted, Duration::zero())) + "."};
}

Words out_of_band_over(const Story& story) {
    return {.title = headline(
                who(story.scene),
                ": pressure is back at " + story.display.text(Quantity::head_pressure, *story.finding.value)),
            .text = "Pressure is in its band again. " + lasted_and_worst(story, Quantity::head_pressure)};
}

constexpr std::array rules{
    Rule{
        .info = {.name = "pressure_near_limit",
                 .meaning = "head pressure above 80, 90 or 95 % of the lowest rated part; rings at each step",
                 .priority = Priority::medium,
                 .safety = true},
        .escalates = true,
        .off_delay = 2min,
        .deadband = 3,
        .explained_by = {},
        .first_aid = pressure_care,
        .judge = near_limit,
        .raised = near_limit_raised,
        .over = pressure_over},
    Rule{.info = {.name = "pressure_rising_to_limit",
                  .meaning = "at this rate the limit is less than 2 h (high) or 30 min (critical) away",
                  .priority = Priority::high,
                  .safety = true},
         .escalates = true,
         .off_delay = 5min,
         .explained_by = "pressure_near_limit",
         .first_aid = pressure_care,
         .judge = rising_to_limit,
         .raised = rising_raised,
         .over = rising_over},
    Rule{
        .info = {.name = "pressure_below_vacuum_limit",
                 .meaning = "head pressure below what the vessel bears from outside",
                 .priority = Priority::critical,
                 .safety = true},
        .off_delay = 2min,
        .deadband = 1,
        .explained_by = {},
        .first_aid =
            "Stop cooling and stop drawing off. Let gas in gently through the gas inlet or vent, never by "
            "loosening a fitting; keep clear of a vessel that has begun to buckle. Thin vessels may be rated "
            "for no vacuum at all: the plate decides.",
        .judge = below_vacuum_limit,
        .raised = vacuum_raised,
        .over = vacuum_over},
    Rule{.info = {.name = "pressure_out_of_band",
                  .meaning = "head pressure above or below the stage's pressure band",
                  .priority = Priority::medium,
                  .safety = false},
         .on_delay = 10min,
         .off_delay = 5min,
         .deadband = 3,
         .explained_by = "pressure_near_limit",
         .first_aid =
             "First check spunding valve, regulator and gas supply. Never loosen a fitting under pressure.",
         .judge = out_of_band,
         .raised = out_of_band_raised,
         .over = out_of_band_over},
};

}  // namespace

std::span<const Rule> pressure_rules() {
    return rules;
}

}  // namespace gyled::alarms
