#pragma once
/// How far the stage in which a batch stands has come towards its end. The clock is plain values, kept over a
/// restart, so that a rest of an hour that is interrupted after 50 minutes ends ten minutes later. Pure
/// functions: time is an argument; asking whether the end is met moves nothing. Temperatures degC.

#include <optional>

#include "daemon/base/time.hpp"
#include "daemon/batch/plan.hpp"

namespace gyled::batch {

struct StageClockParameters {
    /// Longest silence over which the beer counts as having stayed in its band, when it was there before and
    /// is there after: a restart or a lost hour of network on brew day (mash tuns cool by some 1 K an hour).
    base::Duration bridged = std::chrono::minutes{30};
};

struct StageClock {
    /// Of a temperature end: which way the beer has to go, from where it stood when the stage began.
    enum class Direction : std::uint8_t { unknown, rising, falling };
    base::Duration in_band{};                     ///< so long has the beer been within the stage's band
    std::optional<base::Timestamp> in_band_seen;  ///< when it was last seen there; nothing: it was outside
    Direction direction = Direction::unknown;
    friend bool operator==(const StageClock&, const StageClock&) = default;
};

/// What the end of a stage may hang on, at one moment.
struct StageEvidence {
    base::Timestamp now;
    std::optional<double> beer_c{};  ///< a fresh reading taken within this stage; nothing when there is none
    bool finished = false;           ///< the fermentation has, by what is believed now
    bool carbonated = false;
};

/// The clock after `evidence`: minutes in band counted, the direction of a temperature end settled.
[[nodiscard]] StageClock advanced(StageClock clock, const StagePlan& stage, const StageEvidence& evidence,
                                  const StageClockParameters& parameters = {});

/// Has the planned end come true? Never for a stage that ends by hand.
[[nodiscard]] bool end_met(const StageClock& clock, const StagePlan& stage, const StageEvidence& evidence);

}  // namespace gyled::batch
