#pragma once
/// How the daemon itself is doing: for /health and /metrics.

#include "daemon/app/announcer.hpp"
#include "daemon/app/deliveries.hpp"
#include "daemon/app/pipeline_store.hpp"
#include "daemon/pipeline/pipeline.hpp"
#include "daemon/web/backend.hpp"

namespace gyled::app {

/// Thread: the main loop's. What it looks at must outlive it. `figures` asks the store and may throw
/// StorageError.
class HealthOf {
public:
    HealthOf(const pipeline::Pipeline& pipeline, const mqtt::Source& broker, const storage::Store& database,
             const PipelineStore& store, const Deliveries& deliveries, const Announcer& announcer,
             base::Timestamp started);

    [[nodiscard]] web::Health health() const;
    [[nodiscard]] web::WatchFigures figures() const;

private:
    const pipeline::Pipeline& pipeline_;
    const mqtt::Source& broker_;
    const storage::Store& database_;
    const PipelineStore& store_;
    const Deliveries& deliveries_;
    const Announcer& announcer_;
    base::Timestamp started_;
};

}  // namespace gyled::app
