#pragma once
/// Recognises another client that uses our id. A broker ends the older connection when the newer comes (MQTT
/// 5 and 3.1.1, section 3.1.4); both come back, and each gets a part of the messages. A broker of MQTT 5 says
/// "session taken over" (0x8E); one of 3.1.1 says nothing, but connections end seconds after they began,
/// again and again.

#include <chrono>
#include <cstdint>
#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::mqtt {

struct RivalParameters {
    std::chrono::seconds short_life{
        20};              ///< of a connection: a client comes back within seconds, a bad link seldom so fast
    int short_lives = 3;  ///< in a row: one is a restart, two are bad luck
    std::chrono::minutes peace{
        2};  ///< a connection that stood so long ends the episode: longer than any client waits
};

/// Thread: its owner's. Durations are of the steady clock; `at` is for people.
class RivalWatch {
public:
    using SteadyTime = std::chrono::steady_clock::time_point;
    explicit RivalWatch(RivalParameters parameters = {}) : parameters_{parameters} {}

    void connected(SteadyTime now);
    /// An attempt to connect failed: it is the broker that comes and goes.
    void not_reached() { short_lives_ = 0; }
    /// What the end of a connection says.
    enum class End : std::uint8_t {
        taken_over,  ///< the broker's word that another took our session
        unexplained,
        explained,  ///< by anything else
    };
    /// The connection ended. True when this is the first sign of a rival in this episode.
    [[nodiscard]] bool ended(SteadyTime now, base::Timestamp at, End how);
    /// Since when there is one; nothing when there is none, or no longer.
    [[nodiscard]] std::optional<base::Timestamp> since(SteadyTime now) const;

private:
    [[nodiscard]] bool at_peace(SteadyTime now) const {
        return connected_at_ && now - *connected_at_ >= parameters_.peace;
    }

    RivalParameters parameters_;
    std::optional<SteadyTime> connected_at_;
    int short_lives_ = 0;
    std::optional<base::Timestamp> since_;
};

}  // namespace gyled::mqtt
