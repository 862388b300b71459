#include <algorithm>
#include <array>

#include "daemon/alarms/judging.hpp"

// The watch over the watch: are we still hearing anything?
namespace gyled::alarms {
namespace {

using base::Quantity;
using base::StageKind;
using namespace std::chrono_literals;

Finding broker_lost(const Scene& scene) {
    return {.verdict = scene.now.broker_connected ? Verdict::within : Verdict::beyond, .at = scene.now.at};
}

Words broker_lost_raised(const Story& story) {
    return {.title = "Broker out of reach: nothing is being watched",
            .text = "No connection to the broker for " +
                    display::duration_text(std::max(story.lasted, Duration::zero())) +
                    "; no vessel is watched until it returns."};
}

Words broker_lost_over(const Story& story) {
    return {.title = "Broker is back",
            .text = "The watch goes on. Lost for " +
                    display::duration_text(std::max(story.lasted, Duration::zero())) + "."};
}

/// What this stage needs to hear. A hydrometer lies in a drawer until the wort is pitched, and again once the
/// beer is clear; battery and signal come with another quantity, whose silence says enough.
bool is_needed(const Situation& now, Quantity quantity) {
    if (!now.batch_name) return false;
    if (quantity == Quantity::battery_voltage || quantity == Quantity::signal_strength) return false;
    if (quantity != Quantity::gravity || !now.stage) return true;
    return *now.stage == StageKind::ferment || *now.stage == StageKind::rest ||
           *now.stage == StageKind::crash;
}

Priority urgency(const Situation& now, Quantity quantity) {
    if (quantity == Quantity::head_pressure && now.head_space != base::HeadSpace::vented)
        return Priority::high;
    if (quantity == Quantity::beer_temperature || quantity == Quantity::gravity ||
        quantity == Quantity::head_pressure)
        return Priority::medium;
    return Priority::low;
}

/// Since when it could have spoken and was wanted: not before the stage began, nor while nobody could hear.
Timestamp expected_since(const Scene& scene, const SensorSilence& sensor) {
    Timestamp since = std::max(sensor.last_at.value_or(sensor.watched_since), scene.listening_since);
    if (scene.now.stage_since) since = std::max(since, *scene.now.stage_since);
    return since;
}

bool is_silent(const Scene& scene, const SensorSilence& sensor) {
    return scene.now.at - expected_since(scene, sensor) > sensor.silent_after;
}

Finding sensor_silent(const Scene& scene) {
    const SensorSilence& sensor = *scene.sensor;
    if (!is_needed(scene.now, sensor.measures) || sensor.silent_after <= Duration::zero())
        return {.verdict = Verdict::dropped};
    Finding found{
        .verdict = Verdict::unknown, .at = scene.now.at, .urgency = urgency(scene.now, sensor.measures)};
    if (is_silent(scene, sensor))
        found.verdict = Verdict::beyond;
    else if (sensor.last_at && scene.now.at - *sensor.last_at <= sensor.silent_after)
        found.verdict = Verdict::within;
    return found;
}

Words sensor_silent_raised(const Story& story) {
    const SensorSilence& sensor = *story.scene.sensor;
    std::string text = "Nothing from " + sensor.sensor;
    if (sensor.last_at)
        text += " since " + story.display.local(*sensor.last_at);
    else
        text += " since the watch began";
    std::string others;
    for (const SensorSilence& other : story.scene.now.sensors)
        if (&other != &sensor && is_silent(story.scene, other))
            others += (others.empty() ? "" : ", ") + other.sensor;
    if (!others.empty()) text += "; silent too: " + others;
    return {
        .title = headline(who(story.scene), ": no " + spoken(base::name(sensor.measures)) + " any more"),
        .text = text + ". Alarms that need it are blind."};
}

Words sensor_silent_over(const Story& story) {
    const SensorSilence& sensor = *story.scene.sensor;
    return {.title =
                headline(who(story.scene), ": " + spoken(base::name(sensor.measures)) + " is heard again"),
            .text = sensor.sensor + " speaks again after " +
                    display::duration_text(std::max(story.lasted, Duration::zero())) + " of silence."};
}

constexpr std::array rules{
    Rule{.info = {.name = "broker_lost",
                  .meaning = "no connection to the broker: nothing is being watched",
                  .priority = Priority::high,
                  .safety = false},
         .about = Rule::About::watch,
         .on_delay = 2min,
         .off_delay = 30s,
         .explained_by = {},
         .first_aid = "First check the broker and the network.",
         .judge = broker_lost,
         .raised = broker_lost_raised,
         .over = broker_lost_over},
    Rule{
        .info = {.name = "sensor_silent",
                 .meaning = "a sensor that this stage needs has not been heard for its set time",
                 .priority = Priority::medium,
                 .safety = false},
        .about = Rule::About::each_sensor,
        .explained_by = {},
        .first_aid =
            "First check its power and its way to the network. Until it speaks, look at the vessel yourself.",
        .judge = sensor_silent,
        .raised = sensor_silent_raised,
        .over = sensor_silent_over},
};

}  // namespace

std::span<const Rule> watch_rules() {
    return rules;
}

}  // namespace gyled::alarms
