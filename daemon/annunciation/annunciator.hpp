#pragma once
/// Who hears of a transition, and whether anybody does: the stage between "it is true" (alarms) and "it is on
/// its way" (notify). Deterministic: time is an argument, its log is its only memory. Thread: one.

#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/occurrence.hpp"
#include "daemon/annunciation/notice.hpp"

namespace gyled::annunciation {

/// One messenger, as far as the choice of recipients goes.
struct Recipient {
    std::string name;
    alarms::Priority at_least{};  ///< hears this priority and above; drills always
    friend bool operator==(const Recipient&, const Recipient&) = default;
};

/// When annunciation holds its tongue.
struct Policy {
    base::Duration old_after =
        std::chrono::hours{1};  ///< evidence older than this is recorded and annunciated to nobody
    base::Duration news_after =
        std::chrono::hours{12};  ///< information is told late up to this age of its fact
};

/// What was annunciated of one occurrence: whoever heard the beginning hears the return.
struct Annunciated {
    std::string alarm;  ///< id of the occurrence
    alarms::Priority priority{};
    base::Timestamp at;
    friend bool operator==(const Annunciated&, const Annunciated&) = default;
};

/// Plain and versioned with VesselState: nothing is annunciated twice across a restart.
struct Log {
    std::vector<Annunciated> entries;  ///< of occurrences that still stand, oldest first
    friend bool operator==(const Log&, const Log&) = default;
};

}  // namespace gyled::annunciation
