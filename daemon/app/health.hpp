#pragma once
/// How the daemon itself is doing: for /health and /metrics.

#include "daemon/app/announcer.hpp"
#include "daemon/app/broker_troubles.hpp"
#include "daemon/app/deliveries.hpp"
#include "daemon/app/pipeline_store.hpp"
#include "daemon/app/watch_clock.hpp"
#include "daemon/pipeline/pipeline.hpp"
#include "daemon/web/backend.hpp"

namespace gyled::app {

/// Gathers what the edges say does not work, and keeps since when. Thread: the main loop's. What it looks at
/// must outlive it. `figures` asks the store and may throw StorageError.
class HealthOf {
public:
    HealthOf(const pipeline::Pipeline& pipeline, const mqtt::Source& broker, const storage::Keeper& database,
             const PipelineStore& store, const Deliveries& deliveries, const Announcer& announcer,
             const WatchClock& clock);

    /// Looks again. Call it once a round, before anybody asks.
    void round(base::Timestamp now);
    /// As of the last round, those of one kind together.
    [[nodiscard]] const base::Impairments& impairments() const { return impairments_; }
    [[nodiscard]] web::Health health() const;
    [[nodiscard]] web::WatchFigures figures() const;

private:
    [[nodiscard]] std::string store_problem() const;  ///< empty when all is well
    [[nodiscard]] base::Impairments found(base::Timestamp now);

    const pipeline::Pipeline& pipeline_;
    const mqtt::Source& broker_;
    const storage::Keeper& database_;
    const PipelineStore& store_;
    const Deliveries& deliveries_;
    const Announcer& announcer_;
    const WatchClock& clock_;
    base::Timestamp started_;
    BrokerTroubles broker_troubles_;
    Loss unkept_;
    base::Impairments impairments_;
};

}  // namespace gyled::app
