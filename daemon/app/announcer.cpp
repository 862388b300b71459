#include "daemon/app/announcer.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <utility>

#include "daemon/json/views.hpp"

namespace gyled::app {
namespace {

constexpr int at_most_once = 0, at_least_once = 1;

}  // namespace

Announcer::Announcer(const config::Config& config, mqtt::Source& broker, Deliveries& deliveries,
                     TellPages tell_pages, AnnouncerParameters parameters)
    : config_{config},
      broker_{broker},
      deliveries_{deliveries},
      tell_pages_{std::move(tell_pages)},
      parameters_{parameters} {}

// ---- the log

void Announcer::on_connection(const mqtt::ConnectionEvent& event) {
    using Kind = mqtt::ConnectionEvent::Kind;
    switch (event.kind) {
        case Kind::connected:
            if (may_log_connection(event.at))
                spdlog::info("connected to the broker {}, {}", config_.broker.url, event.text);
            disconnection_logged_ = false;
            break;
        case Kind::disconnected:
            if (!std::exchange(disconnection_logged_, true) && may_log_connection(event.at))
                spdlog::warn("no connection to the broker {}: {}; retrying", config_.broker.url, event.text);
            break;
        case Kind::session_lost:
            if (may_log_connection(event.at)) spdlog::warn("{}", event.text);
            break;
        case Kind::rival:
            spdlog::warn("{}", event.text);
            break;
        case Kind::subscription_refused:
        case Kind::spool_failed:
            spdlog::error("{}", event.text);
            break;
    }
}

bool Announcer::may_log_connection(base::Timestamp at) {
    if (!minute_began_ || at < *minute_began_ || at - *minute_began_ >= std::chrono::minutes{1}) {
        minute_began_ = at;
        connection_lines_ = 0;
    }
    return ++connection_lines_ <= parameters_.connection_lines_max;
}

void Announcer::on_reject(const sensors::Reject& reject) {
    if (const auto line = rejects_.note(reject)) spdlog::warn("{}", *line);
}

void Announcer::on_commit(const cellar::Commit& group) {
    if (!std::exchange(store_problem_, {}).empty()) spdlog::info("the store works again");
    spdlog::debug("committed {} readings, {} estimates, {} alarm transitions, {} notices",
                  group.effects.readings.size(), group.effects.estimates.size(),
                  group.effects.transitions.size(), group.effects.notices.size());
    if (!group.effects.notices.empty()) deliveries_.offer_due();
}

void Announcer::on_commit_failure(const std::string& problem) {
    if (std::exchange(store_problem_, problem) != problem) spdlog::error("{}; retrying", problem);
}

void Announcer::on_unstored_notice(const annunciation::Notice& notice) {
    deliveries_.offer_at_once(notice);
}

void Announcer::resumed(const cellar::Cellar& core) {
    for (const auto& vessel : core.vessels())
        if (vessel.batch)
            spdlog::info("resumed {} in {}, {} standing alarms", vessel.batch->name, vessel.spec.id,
                         vessel.alarms.size());
}

// ---- what happened, to everybody

void Announcer::on_reading(const sensors::Reading& reading) {
    changed_.insert(reading.vessel);
    last_reading_ = reading.arrived;
}

void Announcer::on_effects(const cellar::Effects& effects) {
    for (const auto& transition : effects.transitions) announce(transition);
    for (const auto& fact : effects.facts)
        spdlog::info("{}: {}{}. {}", fact.vessel, estimation::name(fact.fact.kind),
                     fact.fact.revoked ? " revoked" : "",
                     fact.fact.revoked ? fact.fact.revoked_because : fact.fact.evidence);
    for (const auto& batch : effects.batches) changed_.insert(batch.plan.vessel);
}

void Announcer::announce(const alarms::Transition& transition) {
    spdlog::info("alarm {} {}: {}", transition.alarm, alarms::name(transition.state), transition.text);
    tell_pages_(web::Event::alarm(transition));
    const auto vessel = transition.vessel.empty() ? std::string{"watch"} : transition.vessel;
    broker_.publish(fmt::format("{}/{}/alarm/{}", config_.broker.publish_prefix, vessel, transition.rule),
                    json::text(json::alarm_json(transition, config_.site.display)), true, at_least_once);
}

// ---- how things stand

void Announcer::round(const cellar::Cellar& core, base::Timestamp now) {
    for (const std::string& vessel : std::exchange(changed_, {}))
        tell_pages_(web::Event::vessel_changed(vessel));
    if (const auto line = rejects_.summary(now)) spdlog::warn("{}", *line);
    if (states_at_ && now >= *states_at_ && now - *states_at_ < parameters_.states_every) return;
    states_at_ = now;
    publish_states(core);
}

void Announcer::publish_states(const cellar::Cellar& core) {
    for (const auto& view : core.vessels())
        broker_.publish(fmt::format("{}/{}/state", config_.broker.publish_prefix, view.spec.id),
                        json::text(json::vessel_json(view, config_.site.display)), false, at_most_once);
}

}  // namespace gyled::app
