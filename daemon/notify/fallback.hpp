#pragma once
/// When a notice does not get through its messenger: which further one is to carry it as well. A critical
/// notice goes to every messenger from the start, so that this is for the others. No thread, no clock.

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "daemon/annunciation/annunciator.hpp"
#include "daemon/notify/delivery_queue.hpp"
#include "daemon/notify/reachability.hpp"

namespace gyled::notify {

struct FallbackParameters {
    unsigned attempts = 3;  ///< in vain: what three times does not go, may not for hours
};

/// Thread: one. What it was told of is forgotten once it is settled or has a further messenger: a further one
/// that fails as well is told of like any other, and has its own next.
class Fallback {
public:
    /// `configured`: all messengers, in the order of the configuration.
    explicit Fallback(std::vector<annunciation::Recipient> configured, FallbackParameters parameters = {});

    /// The courier has it now.
    void offered(const QueuedNotice& queued);
    void note(const DeliveryReport& report);
    /// Notices that were tried often enough, or expired, each once, with the further messenger as their only
    /// recipient: the next of the configuration that does not hear the notice anyway, one that gets through
    /// if there is any. Nothing of a notice that all hear.
    [[nodiscard]] std::vector<annunciation::Notice> due(const std::vector<Failing>& failing);

private:
    struct Waiting {
        annunciation::Notice notice;
        unsigned attempts = 0;
        bool expired = false;
    };
    using Key = std::pair<std::string, std::string>;  ///< the notice's id, the messenger
    [[nodiscard]] std::vector<std::string> candidates(const annunciation::Notice& notice,
                                                      const std::string& messenger) const;

    std::vector<annunciation::Recipient> configured_;
    FallbackParameters parameters_;
    std::map<Key, Waiting> waiting_;
};

}  // namespace gyled::notify
