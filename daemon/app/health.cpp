#include "daemon/app/health.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/display/display.hpp"

namespace gyled::app {
namespace {

std::string words_of(const std::vector<storage::Renewal>& renewals) {
    std::string words;
    for (const storage::Renewal& renewal : renewals) words += (words.empty() ? "" : "; ") + renewal.words;
    return words;
}

std::string words_of_clock(base::Duration off) {
    if (off < base::Duration{})
        return "its clock is " + display::duration_text(-off) +
               " ahead; its readings count from their arrival";
    return "its clock is " + display::duration_text(off) + " behind; its readings are corrected";
}

}  // namespace

HealthOf::HealthOf(const pipeline::Pipeline& pipeline, const mqtt::Source& broker,
                   const storage::Keeper& database, const PipelineStore& store, const Deliveries& deliveries,
                   const Announcer& announcer, const WatchClock& clock)
    : pipeline_{pipeline},
      broker_{broker},
      database_{database},
      store_{store},
      deliveries_{deliveries},
      announcer_{announcer},
      clock_{clock},
      started_{clock.now()} {}

std::string HealthOf::store_problem() const {
    return pipeline_.ledger().store_ok() ? database_.problem() : pipeline_.ledger().problem();
}

/// One edge after the other; `since` is now, and the round keeps that of what stands already.
base::Impairments HealthOf::found(base::Timestamp now) {
    const mqtt::Figures broker = broker_.figures();
    base::Impairments found = broker_troubles_.found(broker, now);
    const auto say = [&](std::string name, std::string subject, std::string text) {
        found.push_back({std::move(name), std::move(subject), std::move(text), now});
    };
    if (!broker.connected)
        say("broker_lost", "",
            "no connection to the broker" + (broker.trouble.empty() ? "" : ": " + broker.trouble));
    if (const std::string problem = store_problem(); !problem.empty()) say("store_failing", "", problem);
    if (!database_.renewals().empty()) say("store_renewed", "", words_of(database_.renewals()));
    if (const auto count = pipeline_.ledger().turned_away(); count > 0)
        say("readings_unstored", "",
            fmt::format("{} readings were judged but are not in the database: they wait in the spool, and "
                        "are taken in once the database works",
                        count));
    const std::uint64_t lost = pipeline_.ledger().lost();
    if (const auto since = unkept_.told_since(lost, now))
        found.push_back(
            {"readings_lost", "store",
             fmt::format("{} readings were judged and could not be kept: the database failed, and "
                         "memory and spool were full",
                         lost),
             *since});
    for (const ClockTrouble& trouble : clock_.troubles()) say(trouble.name, "", trouble.text);
    for (const sensors::SensorHealth& sensor : pipeline_.intake().health())
        if (sensor.clock_off) say("sensor_clock_off", sensor.id, words_of_clock(*sensor.clock_off));
    for (base::Impairment& failing : deliveries_.impairments()) found.push_back(std::move(failing));
    return found;
}

void HealthOf::round(base::Timestamp now) {
    base::Impairments found = this->found(now);
    for (base::Impairment& one : found)
        for (const base::Impairment& before : impairments_)
            if (before.name == one.name && before.subject == one.subject)
                one.since = std::min(before.since, now);
    impairments_ = std::move(found);
}

web::Health HealthOf::health() const {
    web::Health health;
    health.broker_connected = broker_.figures().connected;
    health.store_ok = store_problem().empty();
    health.last_reading = announcer_.last_reading();
    health.last_commit = pipeline_.ledger().last_commit();
    if (!health.store_ok)
        health.problem = store_problem();
    else if (!health.broker_connected)
        health.problem = "not connected to the broker";
    health.impairments = impairments_;
    health.ok = health.store_ok && health.broker_connected;
    return health;
}

web::WatchFigures HealthOf::figures() const {
    web::WatchFigures figures;
    const auto broker = broker_.figures();
    figures.readings_stored = pipeline_.ledger().stored();
    figures.messages_received = broker.received;
    figures.queue_depth = broker.queue_depth;
    figures.notices_delivered = deliveries_.delivered();
    figures.notices_failed = deliveries_.expired();
    figures.outbox_pending = database_.pending();
    figures.readings_unstored = pipeline_.ledger().turned_away();
    figures.lost = {.messages_oversized = broker.oversized,
                    .messages_unclaimed = broker.unclaimed,
                    .readings_unkept = pipeline_.ledger().lost(),
                    .broker_sessions = broker.sessions_lost,
                    .publications = broker.publish_dropped,
                    .spool_failures = broker.spool_failures,
                    .spool_torn_bytes = broker.spool_torn_bytes};
    figures.last_commit_seconds = store_.last_write_seconds();
    figures.started = started_;
    return figures;
}

}  // namespace gyled::app
