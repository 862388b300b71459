#pragma once
/// What a store keeps of a core, in memory: accepted readings, and the whole state with each commit.

#include <algorithm>
#include <vector>

#include "daemon/cellar/cellar.hpp"

namespace gyled::cellar {

class Kept {
public:
    /// A commit: the effects, and the state that goes with them.
    void keep(const Effects& effects, const Cellar& core) {
        for (const ReadingPoint& reading : effects.readings)
            if (reading.quality == sensors::Quality::accepted) readings_.push_back(reading);
        memory_ = {core.states(), core.learned()};
    }

    /// The vessel's readings since `from`, as the store gives them: by their own time.
    [[nodiscard]] std::vector<ReadingPoint> since(Timestamp from) const {
        std::vector<ReadingPoint> found;
        std::copy_if(readings_.begin(), readings_.end(), std::back_inserter(found),
                     [&](const ReadingPoint& reading) { return reading.at >= from; });
        std::stable_sort(found.begin(), found.end(),
                         [](const ReadingPoint& a, const ReadingPoint& b) { return a.at < b.at; });
        return found;
    }

    /// A new core that takes up what is kept.
    [[nodiscard]] Cellar restarted(const CellarSpec& spec) const {
        Cellar core{spec};
        core.restore(memory_);
        for (const ReadingPoint& reading : since(core.readings_needed_from())) core.recall(reading);
        core.end_recall();
        return core;
    }

private:
    std::vector<ReadingPoint> readings_;
    Memory memory_;
};

}  // namespace gyled::cellar
