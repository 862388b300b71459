#include "sensors/plausibility/stuck.hpp"

#include <algorithm>

namespace gyled::sensors {

void StuckWatch::note(Past reading) {
    if (started_ && reading.at <= until_) return;
    if (!started_ || reading.value != since_.value) {
        if (started_) changes_ = std::min(changes_ + 1, proof);
        since_ = reading;
        started_ = true;
    }
    until_ = reading.at;
}

bool StuckWatch::is_stuck() const {
    return changes_ >= proof && until_ - since_.at > std::chrono::hours{24};
}

}  // namespace gyled::sensors
