#pragma once
/// Carries a notice to a person. One interface; a push relay and any webhook behind it.

#include <optional>
#include <string>

#include "daemon/alarms/alarm.hpp"
#include "daemon/annunciation/notice.hpp"

namespace gyled::notify {

using base::Duration;
using base::Timestamp;

/// What became of one attempt. The messenger knows; the courier decides what to do about it. Whatever is no
/// acceptance may be one later: relays move, tokens are renewed, a login page of the network goes away.
struct Delivery {
    bool accepted = false;            ///< the receiver said, in its own way, that it has the notice
    std::optional<Duration> after{};  ///< the receiver's own wish for when to try again
    std::string words{};              ///< what the receiver or the network said: one line, no secrets
};

/// Thread: `send` from one thread at a time, which may be any. Never throws: a phone out of reach is
/// ordinary.
class Messenger {
public:
    virtual ~Messenger() = default;
    /// Returns within the messenger's own timeout.
    [[nodiscard]] virtual Delivery send(const annunciation::Notice& notice) = 0;
    /// From any thread, at shutdown: a `send` under way, and every later one, returns soon.
    virtual void hang_up() {}
};

}  // namespace gyled::notify
