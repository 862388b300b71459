#include "daemon/app/pipeline_store.hpp"

#include <spdlog/spdlog.h>

#include <chrono>

namespace gyled::app {

std::size_t PipelineStore::write(const cellar::Commit& group) {
    const auto began = std::chrono::steady_clock::now();
    const std::size_t readings = database_.write(group);
    for (const std::string& words : database_.take_refusals()) spdlog::error("{}", words);
    last_write_seconds_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return readings;
}

pipeline::Memory PipelineStore::memory() {
    const storage::Queries& kept = database_.queries();
    return {{kept.vessel_states(), kept.learned()}, kept.sensor_states()};
}

void PipelineStore::for_each_reading(base::Timestamp from, base::Timestamp to, const TakeReading& take) {
    database_.queries().for_each_reading({}, from, to, take);
}

}  // namespace gyled::app
