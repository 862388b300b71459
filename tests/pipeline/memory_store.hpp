#pragma once
/// A store in memory that can be out of order.

#include <algorithm>
#include <map>
#include <stdexcept>
#include <vector>

#include "daemon/pipeline/store.hpp"

namespace gyled::pipeline {

class MemoryStore final : public Store {
public:
    std::size_t write(const Commit& group) override {
        ++attempts;
        if (!works) throw std::runtime_error("the disk is full");
        for (const auto& reading : group.effects.readings)
            if (reading.quality == sensors::Quality::accepted) readings.push_back(reading);
        for (const auto& notice : group.effects.notices) outbox.push_back(notice);
        if (!group.states.empty()) kept.core.states = group.states;
        for (const auto& [culture, curve] : group.learned) kept.core.learned[culture] = curve;
        for (const auto& state : group.sensors) sensors[state.sensor] = state;
        sensors_written += group.sensors.size();
        ++commits;
        if (on_commit) on_commit();
        return group.effects.readings.size();
    }
    [[nodiscard]] Memory memory() override {
        if (!works) throw std::runtime_error("the disk is broken");
        Memory memory = kept;
        for (const auto& [id, state] : sensors) memory.sensors.push_back(state);
        return memory;
    }
    void for_each_reading(Timestamp from, Timestamp to, const TakeReading& take) override {
        if (!works) throw std::runtime_error("the disk is broken");
        if (on_read) on_read();
        std::stable_sort(readings.begin(), readings.end(),
                         [](const auto& a, const auto& b) { return a.at < b.at; });
        for (const auto& reading : readings)
            if (reading.at >= from && reading.at < to) take(reading);
    }

    bool works = true;
    int attempts = 0, commits = 0;
    std::vector<cellar::ReadingPoint> readings;
    std::vector<annunciation::Notice> outbox;
    std::size_t sensors_written = 0;  ///< memories of sensors, in all commits
    std::function<void()> on_commit, on_read;

private:
    Memory kept;
    std::map<std::string, sensors::SensorState> sensors;
};

}  // namespace gyled::pipeline
