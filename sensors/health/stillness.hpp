#pragma once
/// A value that has stopped moving although it used to: a sensor that is stuck.

#include <optional>

#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// How still is too still. Synthetic streams in tests/sensors/stillness.cpp show both sides.
struct StillnessParameters {
    /// Pairs of consecutive readings that say how lively it was just before: fewer are chance, more would
    /// outlast a fermentation that dies down.
    double pairs_remembered = 50;
    double pairs_needed = 20;  ///< before anything is said: a sensor just begun has no habits
    /// Share of pairs with the same value; above it the sensor is coarse for what it measures, and stillness
    /// says nothing.
    double repeats_lively_most = 0.5;
    double chance = 1e-9;   ///< that so long a run is luck: once in 30 years at a reading a second
    double run_least = 24;  ///< repeats: a day of an hourly sensor, whose beer may stop between two readings
    Duration least = std::chrono::hours{6};  ///< noise may pause for an hour with a pump, not for a night
};

/// The memory: plain values, bounded. Make it anew with {}.
struct Stillness {
    std::optional<Past> since;      ///< the first reading of the present value
    Timestamp until;                ///< the latest reading, valid when there is `since`
    double run = 0;                 ///< how often the present value was repeated
    double pairs = 0, repeats = 0;  ///< before the present run: all, and with the same value; the old fade
    friend bool operator==(const Stillness&, const Stillness&) = default;
};

/// Takes in an accepted reading. One that is not later than the latest changes nothing, so what comes late
/// cannot wake a stuck sensor, nor can a reading that is remembered twice.
void note(Stillness& stillness, const Past& reading, const StillnessParameters& with = {});

/// Since when it has repeated the very same value (bit for bit) for so long that its own liveliness speaks
/// against luck; nothing while it has not. Event time of the first reading of that value.
///
/// This is said of the sensor, and never of its readings: they stay accepted. A vessel held by a thermostat,
/// and a beer that is done, stand still in truth, and a coarse sensor shows it; to throw such readings away
/// would leave the vessel without the last thing known of it. So a sensor is accused by its own habits only:
/// one of which every second reading or more differed from the one before does not repeat itself thirty times
/// by chance. Of a sensor that has always repeated itself nothing can be told from its values alone.
[[nodiscard]] std::optional<Timestamp> stuck_since(const Stillness& stillness,
                                                   const StillnessParameters& with = {});

}  // namespace gyled::sensors
