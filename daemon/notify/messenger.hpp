#pragma once
/// Carries a notice to a person. One interface; a push relay and any webhook behind it.

#include <optional>
#include <string>
#include <string_view>

#include "daemon/alarms/alarm.hpp"
#include "daemon/annunciation/notice.hpp"

namespace gyled::notify {

using base::Duration;
using base::Timestamp;

/// What became of a notice. The messenger knows; the courier decides what to do about it.
struct Delivery {
    enum class Outcome : std::uint8_t {
        accepted,   ///< the receiver has it
        try_again,  ///< out of reach, busy or broken: later it may work
        refused,    ///< our own mistake, as a wrong token: the same again would be refused again
    };
    Outcome outcome = Outcome::try_again;
    std::optional<Duration> after{};  ///< the receiver's own wish for when to try again
    std::string words{};              ///< what the receiver or the network said: one line, no secrets
};
[[nodiscard]] std::string_view name(Delivery::Outcome outcome);

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
