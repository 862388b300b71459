#pragma once
/// A counter that should stand still: since when what it counted is told, and until when.

#include <cstdint>
#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::app {

struct LossParameters {
    /// A loss is over when it is noticed; so long after the last of its kind it is told, long enough that a
    /// look at the page in the evening finds the afternoon's.
    base::Duration told_for = std::chrono::hours{6};
};

/// No clock: time is an argument. Thread: its owner's.
class Loss {
public:
    /// Looks at the counter; once a round. When the losses that are told now began; nothing when there was
    /// none, or none for long.
    [[nodiscard]] std::optional<base::Timestamp> told_since(std::uint64_t count, base::Timestamp now,
                                                            const LossParameters& parameters = {});

private:
    std::uint64_t seen_ = 0;
    std::optional<base::Timestamp> first_, last_;  ///< of the losses told now
};

}  // namespace gyled::app
