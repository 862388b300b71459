#include <algorithm>
#include <array>

#include "daemon/alarms/judging.hpp"

namespace gyled::alarms {
namespace {

using base::Quantity;
using namespace std::chrono_literals;

Finding out_of_band(const Scene& scene) {
    if (!scene.now.temperature_band_c || scene.temperature_on_its_way) return {.verdict = Verdict::dropped};
    const auto beer = current(scene.now, Quantity::beer_temperature);
    if (!beer) return {};
    return against_band(*beer, *scene.now.temperature_band_c, scene.deadband);
}

Words out_of_band_raised(const Story& story) {
    const Finding& f = story.finding;
    const std::string seen = story.display.text(Quantity::beer_temperature, *f.value);
    const bool warm = !f.low_side;
    std::string stage = "the";
    if (story.scene.now.stage) stage += " " + spoken(base::name(*story.scene.now.stage)) + " stage's";
    return {.title = headline(who(story.scene), (warm ? " is warm: " : " is cold: ") + seen),
            .text = "Beer at " + seen + (warm ? ", above " : ", below ") +
                    story.display.text(Quantity::beer_temperature, *f.limit) + ", " + stage + " limit, for " +
                    display::duration_text(std::max(story.lasted, Duration::zero())) + "."};
}

Words out_of_band_over(const Story& story) {
    return {
        .title = headline(who(story.scene),
                          " is back at " + story.display.text(Quantity::beer_temperature, *story.finding.value)),
        .text = "Temperature is in its band again. " + lasted_and_worst(story, Quantity::beer_temperature)};
}

// A sealed kettle is a pressure vessel: at 105 degC water alone gives 0.20 bar gauge, at 120 degC 0.97 (steam
// tables).
constexpr double too_hot_to_be_shut_c = 90;
constexpr double open_below_kpa = 5;  // an open kettle shows nothing; sensors err
constexpr double shut_above_kpa = 10;

Finding heating_shut(const Scene& scene) {
    const auto beer = current(scene.now, Quantity::beer_temperature);
    if (!beer) return {};
    const auto pressure = current(scene.now, Quantity::head_pressure);
    const bool hot_side = scene.now.stage && !base::is_cold_side(*scene.now.stage);
    const bool said_shut = hot_side && scene.now.head_space != base::HeadSpace::vented;
    Finding found{.verdict = above(beer->value, too_hot_to_be_shut_c, scene.deadband),
                  .at = beer->at,
                  .value = beer->value,
                  .limit = too_hot_to_be_shut_c};
    if (found.verdict == Verdict::within || said_shut) return found;
    if (!pressure) {  // no gauge at all: the person's word is that it is open
        const bool has_gauge = scene.now.latest.count(Quantity::head_pressure) != 0;
        found.verdict = has_gauge ? Verdict::unknown : Verdict::within;
        return found;
    }
    found.at = std::max(found.at, pressure->at);
    if (pressure->value > shut_above_kpa) return found;
    found.verdict = pressure->value < open_below_kpa ? Verdict::within : Verdict::eased;
    return found;
}

Words heating_shut_raised(const Story& story) {
    std::string text = "At " + story.display.text(Quantity::beer_temperature, *story.finding.value) +
                       " the vessel is not open to the air";
    if (const auto pressure = current(story.scene.now, Quantity::head_pressure))
        text += "; the head space holds " + story.display.text(Quantity::head_pressure, pressure->value);
    return {.title = headline(who(story.scene), " is being heated while shut"), .text = text + "."};
}

Words heating_shut_over(const Story& story) {
    return {.title = headline(who(story.scene), ": no longer hot and shut"),
            .text = "Hot and shut is over. " + lasted_and_worst(story, Quantity::beer_temperature)};
}

constexpr std::array rules{
    Rule{.info = {.name = "heating_shut",
                  .meaning = "a closed vessel above 90 degC: steam builds pressure fast",
                  .priority = Priority::critical,
                  .safety = true},
         .off_delay = 1min,
         .deadband = 2,
         .explained_by = {},
         .first_aid =
             "Switch the heat off now and keep away from the vessel. Do not open lid or fittings while it is "
             "hot and under pressure: steam and boiling wort scald. Let it cool, then vent it through the "
             "part made for that. Never block or cap the relief valve; it protects you, this message does "
             "not.",
         .judge = heating_shut,
         .raised = heating_shut_raised,
         .over = heating_shut_over},
    Rule{.info = {.name = "temperature_out_of_band",
                  .meaning = "beer warmer or colder than the stage's temperature band",
                  .priority = Priority::high,
                  .safety = false},
         .on_delay = 10min,
         .off_delay = 5min,
         .deadband = 0.3,
         .explained_by = {},
         .first_aid = "First check that cooling or heating runs and that the probe sits where it should.",
         .judge = out_of_band,
         .raised = out_of_band_raised,
         .over = out_of_band_over},
};

}  // namespace

std::span<const Rule> temperature_rules() {
    return rules;
}

}  // namespace gyled::alarms
