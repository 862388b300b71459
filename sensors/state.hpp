#pragma once
/// The whole memory of one sensor, in plain values: what is written to the store, and what a restart begins
/// with.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "sensors/health/own_clock.hpp"
#include "sensors/health/stillness.hpp"
#include "sensors/plausibility/backlog.hpp"
#include "sensors/reading.hpp"

namespace gyled::sensors {

/// A few hundred bytes; it does not grow with a sensor's age. Everything counts in the canonical unit and in
/// event time. Doubles must be kept bit for bit (JSON with 17 digits does), or what is the same is taken for
/// a change. The accepted readings themselves stand in the store already: see `Intake::remember`.
struct SensorState {
    static constexpr int current_version = 1;  ///< raise it when a field changes its meaning

    int version = current_version;
    std::string sensor;          ///< its id; empty: of all topics that no sensor claims, `rejected` only
    Quantity quantity{};         ///< a state of another quantity is not taken up
    std::optional<Past> latest;  ///< the latest accepted reading
    std::optional<double> last_known;  ///< from a retained message without a time
    std::uint64_t accepted = 0;
    std::uint64_t clock_ahead = 0;
    std::map<std::string, std::uint64_t> rejected;  ///< by reason
    std::string last_reject;                        ///< the last detail; UTF-8
    std::optional<bool> available;
    std::vector<Past> doubted;  ///< readings that would be a jump, until enough agree; see jump.hpp
    int power_ups = 0;          ///< power-up values in a row with nothing to compare; see one_wire.hpp
    Stillness stillness;
    OwnClock own_clock;
    Undated undated;
    friend bool operator==(const SensorState&, const SensorState&) = default;
};

}  // namespace gyled::sensors
