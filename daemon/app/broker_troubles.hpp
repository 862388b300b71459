#pragma once
/// What the broker's edge lost, or does not do as it should, as impairments.

#include "daemon/base/impairment.hpp"
#include "daemon/mqtt/source.hpp"

namespace gyled::app {

struct BrokerTroubleParameters {
    /// A loss is over when it is noticed; so long after the last of its kind it is told, long enough that a
    /// look at the page in the evening finds the afternoon's.
    base::Duration told_for = std::chrono::hours{6};
};

/// Thread: the main loop's. No clock: time is an argument.
class BrokerTroubles {
public:
    explicit BrokerTroubles(BrokerTroubleParameters parameters = {}) : parameters_{parameters} {}

    /// Looks at the figures; once a round.
    [[nodiscard]] base::Impairments found(const mqtt::Figures& figures, base::Timestamp now);

private:
    /// A counter that should stand still.
    struct Loss {
        std::uint64_t seen = 0;
        std::optional<base::Timestamp> first, last;  ///< of the losses told now
    };
    [[nodiscard]] std::optional<base::Timestamp> lost_since(Loss& loss, std::uint64_t count,
                                                            base::Timestamp now) const;

    BrokerTroubleParameters parameters_;
    Loss sessions_, oversized_, torn_;
};

}  // namespace gyled::app
