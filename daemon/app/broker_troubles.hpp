#pragma once
/// What the broker's edge lost, or does not do as it should, as impairments.

#include "daemon/app/loss.hpp"
#include "daemon/base/impairment.hpp"
#include "daemon/mqtt/source.hpp"

namespace gyled::app {

/// Thread: the main loop's. No clock: time is an argument.
class BrokerTroubles {
public:
    explicit BrokerTroubles(LossParameters parameters = {}) : parameters_{parameters} {}

    /// Looks at the figures; once a round.
    [[nodiscard]] base::Impairments found(const mqtt::Figures& figures, base::Timestamp now);

private:
    LossParameters parameters_;
    Loss sessions_, oversized_, torn_;
};

}  // namespace gyled::app
