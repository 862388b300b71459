#include "daemon/app/pipeline_store.hpp"

#include <chrono>

#include "daemon/app/sensor_state_text.hpp"

namespace gyled::app {

std::size_t PipelineStore::write(const cellar::Commit& group) {
    const auto began = std::chrono::steady_clock::now();
    storage::Group stored{group.effects, group.states, group.learned, {}};
    for (const sensors::SensorState& sensor : group.sensors)
        stored.sensor_states[sensor.sensor] = to_text(sensor);
    const std::size_t readings = database_.write(stored);
    last_write_seconds_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return readings;
}

pipeline::Memory PipelineStore::memory() {
    pipeline::Memory memory{{database_.vessel_states(), database_.learned()}, {}};
    for (const auto& [sensor, text] : database_.sensor_states())
        if (auto state = sensor_state_from_text(text)) memory.sensors.push_back(std::move(*state));
    return memory;
}

void PipelineStore::for_each_reading(base::Timestamp from, base::Timestamp to, const TakeReading& take) {
    database_.for_each_reading({}, from, to, take);
}

}  // namespace gyled::app
