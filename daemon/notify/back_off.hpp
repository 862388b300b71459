#pragma once
/// How long to wait before trying again: by priority, on the steady clock.

#include <array>
#include <chrono>

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

/// Waits run on a clock that nobody sets.
using SteadyTime = std::chrono::time_point<std::chrono::steady_clock, Duration>;

/// One moment on both clocks; the wall's is for the record only.
struct Moment {
    SteadyTime steady;
    Timestamp wall;
};

/// Between the attempts of one priority.
struct Waits {
    Duration shortest;
    Duration longest;       ///< also how long a returned receiver is not noticed
    Duration wish_longest;  ///< a receiver's Retry-After holds for so long
};

struct BackOff {
    Waits critical{std::chrono::seconds{2}, std::chrono::minutes{1},
                   std::chrono::minutes{1}};  ///< somebody may be hurt: never longer, whoever asks
    Waits high{std::chrono::seconds{15}, std::chrono::minutes{3},
               std::chrono::minutes{10}};  ///< a batch is at stake; a relay's quota must not spoil it
    Waits other{std::chrono::seconds{30}, std::chrono::minutes{5},
                std::chrono::hours{1}};               ///< news keeps; relays count their quota by the hour
    Duration expires_after = std::chrono::hours{24};  ///< counted from the notice's own time
    Duration tried_at_least =
        std::chrono::hours{1};  ///< however old it looks: its time may be a wrong clock's

    [[nodiscard]] const Waits& of(alarms::Priority priority) const;
};

/// The wait after `attempts` (at least 1) in vain: a span that doubles from 2 x shortest up to longest, of
/// which `chance` (0 to 1, seeded by the caller) picks a place in the upper half. Always within [shortest,
/// longest], so that a relay that comes back is not stormed by everybody at once.
[[nodiscard]] Duration wait_after(unsigned attempts, double chance, const Waits& waits);

}  // namespace gyled::notify
