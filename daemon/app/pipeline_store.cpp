#include "daemon/app/pipeline_store.hpp"

#include <chrono>

#include "daemon/app/learned_text.hpp"

namespace gyled::app {

std::size_t PipelineStore::write(const pipeline::Group& group) {
    const auto began = std::chrono::steady_clock::now();
    for (const auto& [culture, curve] : group.learned) database_.save_learned(culture, to_text(curve));
    const std::size_t stored =
        database_.write(group.effects, [](const annunciation::Notice& notice) { return notice.recipients; });
    last_write_seconds_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return stored;
}

cellar::Memory PipelineStore::memory() {
    cellar::Memory memory;
    memory.running = database_.running_batches();
    for (const auto& last : database_.standing_alarms())
        memory.standing.push_back(alarms::standing_from(last));
    for (const auto& batch : memory.running)
        if (auto curve = learned(batch.plan.culture_name))
            memory.learned[batch.plan.culture_name] = std::move(*curve);
    return memory;
}

std::optional<estimation::LearnedCurve> PipelineStore::learned(const std::string& culture_name) {
    const auto text = database_.learned(culture_name);
    return text ? learned_from_text(*text) : std::nullopt;
}

void PipelineStore::for_each_reading(const std::string& vessel, base::Timestamp from, base::Timestamp to,
                                     const TakeReading& take) {
    database_.for_each_reading(vessel, from, to, take);
}

}  // namespace gyled::app
