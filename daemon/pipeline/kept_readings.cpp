#include "daemon/pipeline/kept_readings.hpp"

#include <algorithm>

namespace gyled::pipeline {

std::uint32_t KeptReadings::origin_of(const cellar::ReadingPoint& reading) {
    const auto found = std::ranges::find_if(origins_, [&](const Origin& origin) {
        return origin.sensor == reading.sensor && origin.vessel == reading.vessel &&
               origin.quantity == reading.quantity;
    });
    const auto place = static_cast<std::uint32_t>(found - origins_.begin());
    if (found == origins_.end()) origins_.push_back({reading.sensor, reading.vessel, reading.quantity});
    return place;
}

void KeptReadings::push(const cellar::ReadingPoint& reading) {
    readings_.push_back({reading.at, reading.value, origin_of(reading), reading.quality});
}

std::vector<cellar::ReadingPoint> KeptReadings::front(std::size_t count) const {
    std::vector<cellar::ReadingPoint> oldest;
    oldest.reserve(std::min(count, size()));
    for (std::size_t i = 0; i < count && i < size(); ++i) {
        const Compact& kept = readings_[i];
        const Origin& origin = origins_[kept.origin];
        oldest.push_back(
            {origin.sensor, origin.vessel, origin.quantity, kept.at, kept.at, kept.value, kept.quality});
    }
    return oldest;
}

void KeptReadings::pop(std::size_t count) {
    readings_.erase(readings_.begin(),
                    readings_.begin() + static_cast<std::ptrdiff_t>(std::min(count, size())));
}

}  // namespace gyled::pipeline
