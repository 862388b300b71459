#pragma once
/// Which messengers do not get through. No thread, no clock: time is an argument.

#include <map>
#include <string>
#include <vector>

#include "daemon/notify/delivery_queue.hpp"

namespace gyled::notify {

/// What it takes to call a messenger failing.
struct ReachabilityParameters {
    unsigned attempts = 3;  ///< in vain, one after the other: no chance any more
    Duration lasting =
        std::chrono::minutes{2};  ///< since the first of them: patience for a restart of theirs
};

/// A messenger that does not get through.
struct Failing {
    std::string messenger;
    std::string words;  ///< its last answer, or the network's
    Timestamp since;    ///< the first attempt in vain since the last success
};

/// Thread: one.
class Reachability {
public:
    explicit Reachability(ReachabilityParameters parameters = {}) : parameters_{parameters} {}

    void note(const DeliveryReport& report, SteadyTime now);
    /// By name.
    [[nodiscard]] std::vector<Failing> failing(SteadyTime now) const;

private:
    struct Trouble {
        unsigned attempts = 0;
        SteadyTime began;
        Failing failing;
    };
    ReachabilityParameters parameters_;
    std::map<std::string, Trouble> troubles_;
};

}  // namespace gyled::notify
