#pragma once
/// How long to wait before trying again.

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

struct BackOff {
    Duration shortest = std::chrono::seconds{30};
    Duration longest = std::chrono::minutes{30};
    Duration give_up_after = std::chrono::hours{24};  ///< counted from the notice's own time
};

/// The wait after `attempts` (at least 1) tries in vain: a span that doubles from 2 x shortest up to longest,
/// of which `chance` (0 to 1, seeded by the caller) picks a place in the upper half. Always within [shortest,
/// longest], so that a relay that comes back is not stormed by everybody at once.
[[nodiscard]] Duration wait_after(unsigned attempts, double chance, const BackOff& policy);

}  // namespace gyled::notify
