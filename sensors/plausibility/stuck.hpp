#pragma once
/// A value that has stopped moving although it used to.

#include "sensors/plausibility/track.hpp"

namespace gyled::sensors {

/// Flags, and never rejects: a settled beer in a good cold room may stand still, and a coarse sensor shows
/// it.
class StuckWatch {
public:
    void note(Past reading);  ///< accepted readings; those older than the latest are ignored
    /// The very same value for more than 24 h, after it has changed at least `proof` times.
    [[nodiscard]] bool is_stuck() const;

private:
    static constexpr int proof = 3;
    bool started_ = false;
    Past since_;       // the first reading of the present value
    Timestamp until_;  // the latest one
    int changes_ = 0;
};

}  // namespace gyled::sensors
