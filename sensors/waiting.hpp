#pragma once
/// Samples without a time of their own that came after an absence, and wait for what else comes before they
/// are dated: see plausibility/backlog.hpp.

#include <string>
#include <vector>

#include "sensors/decode/sample.hpp"
#include "sensors/plausibility/backlog.hpp"
#include "sensors/reading.hpp"

namespace gyled::sensors {

/// No clock: time is an argument. Thread: its owner's. A value.
class Waiting {
public:
    void add(const Sample& sample, const Message& message);
    void set_clock(const base::ClockSet& set);

    [[nodiscard]] bool empty() const { return samples_.empty(); }
    [[nodiscard]] const std::string& topic() const { return topic_; }  ///< of the first
    [[nodiscard]] const std::vector<Sample>& samples() const { return samples_; }
    [[nodiscard]] const std::vector<Timestamp>& arrivals() const { return arrivals_; }

    /// How they are to be dated, when they are to be dated now. Call it whenever time passes: it counts from
    /// the first call after they came, so that those of an earlier run are not taken for older than the rest.
    [[nodiscard]] std::optional<Held> due(Timestamp now, const BacklogParameters& with = {});

private:
    std::vector<Sample> samples_;
    std::vector<Timestamp> arrivals_;  ///< of each
    std::string topic_;
    bool no_arrival_ = false;
    std::size_t seen_ = 0;        ///< so many were there at the last call of `due`
    Timestamp since_, grown_at_;  ///< the first of them, the latest of them was seen; valid when any was
};

}  // namespace gyled::sensors
