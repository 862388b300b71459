#include "daemon/web/watch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "daemon/alarms/rules.hpp"
#include "daemon/json/views.hpp"

namespace gyled::web {
namespace {

using base::Impairment;
using base::Impairments;
using std::string_view_literals::operator""sv;

/// While one of these stands an alarm may not be raised, or not be heard. All others cost memory, comfort or
/// the past.
constexpr std::array blinding{
    "broker_lost"sv,       // nothing is heard
    "rival_client"sv,      // another takes a part of the messages
    "delivery_failing"sv,  // nobody is told
    "clock_unset"sv,       // nothing is stored, so that a death would forget what stands
};

constexpr std::size_t sensors_named = 3;  ///< more would push everything else off a phone's screen

struct Silence {
    std::vector<std::string> sensors;
    Timestamp since = Timestamp::max();  ///< of the first of them
    bool is_total = false;
};

Timestamp last_word(const alarms::SensorSilence& sensor) {
    return sensor.last_at.value_or(sensor.watched_since);
}

void note(Silence& silence, const std::string& sensor, Timestamp since) {
    if (std::ranges::find(silence.sensors, sensor) != silence.sensors.end()) return;
    silence.sensors.push_back(sensor);
    silence.since = std::min(silence.since, since);
}

/// Those whose silence is an alarm; and when no sensor at all speaks any more, all.
Silence silence_of(const std::vector<cellar::VesselView>& vessels) {
    Silence needed, all;
    std::size_t sensors = 0;
    for (const cellar::VesselView& vessel : vessels) {
        for (const cellar::StandingAlarm& alarm : vessel.alarms)
            if (alarm.last.rule == "sensor_silent") note(needed, alarm.last.subject, alarm.last.raised_at);
        for (const alarms::SensorSilence& sensor : vessel.sensors) {
            ++sensors;
            if (sensor.silent_after > base::Duration::zero() &&
                vessel.at - last_word(sensor) > sensor.silent_after)
                note(all, sensor.sensor, last_word(sensor));
        }
    }
    all.is_total = sensors > 0 && all.sensors.size() == sensors;
    return all.is_total ? all : needed;
}

std::string words(const Silence& silence) {
    const std::size_t count = silence.sensors.size();
    std::string text = fmt::format("{}{} sensor{} silent: ", silence.is_total ? "all of " : "", count,
                                   count == 1 ? "" : "s");
    for (std::size_t i = 0; i < std::min(count, sensors_named); ++i)
        text += (i == 0 ? "" : ", ") + silence.sensors[i];
    if (count > sensors_named) text += fmt::format(" and {} more", count - sensors_named);
    return text;
}

bool blinds(const Impairment& impairment) {
    return std::ranges::find(blinding, impairment.name) != blinding.end();
}

std::vector<cellar::StandingAlarm> most_urgent_first(std::vector<cellar::StandingAlarm> alarms) {
    std::ranges::stable_sort(alarms, std::greater{}, [](const auto& alarm) { return alarm.last.priority; });
    return alarms;
}

}  // namespace

std::string_view name(WatchState::Status status) {
    switch (status) {
        case WatchState::Status::ok:
            return "ok";
        case WatchState::Status::impaired:
            return "impaired";
        case WatchState::Status::failing:
            break;
    }
    return "failing";
}

WatchState watch_state(const Backend& backend) {
    const Health health = backend.health();
    WatchState state{WatchState::Status::ok, health.impairments};
    const Silence silence = silence_of(backend.vessels());
    if (!silence.sensors.empty())
        state.impairments.push_back({"sensor_silent", "", words(silence), silence.since});
    if (!state.impairments.empty()) state.status = WatchState::Status::impaired;
    if (!health.ok || silence.is_total || std::ranges::any_of(health.impairments, blinds))
        state.status = WatchState::Status::failing;
    return state;
}

std::vector<std::string_view> impairment_names() {
    std::vector<std::string_view> names = alarms::watch_rule_names();
    names.push_back("sensor_silent");
    return names;
}

json::Json watch_json(const Backend& backend) {
    const WatchState state = watch_state(backend);
    return {{"status", name(state.status)},
            {"impairments", json::impairments_json(state.impairments, backend.display())},
            {"alarms", json::standing_json(most_urgent_first(backend.watch_alarms()), backend.display())}};
}

}  // namespace gyled::web
