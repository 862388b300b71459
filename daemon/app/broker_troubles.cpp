#include "daemon/app/broker_troubles.hpp"

#include <fmt/format.h>

#include "sensors/decode/text.hpp"

namespace gyled::app {

/// Since when losses of this kind are told; nothing when there was none, or none for long.
std::optional<base::Timestamp> BrokerTroubles::lost_since(Loss& loss, std::uint64_t count,
                                                          base::Timestamp now) const {
    if (count > loss.seen) {
        loss.first = loss.first.value_or(now);
        loss.last = now;
    }
    loss.seen = count;
    if (loss.last && (now - *loss.last > parameters_.told_for || now < *loss.first))
        loss.first = loss.last = {};
    return loss.first;
}

base::Impairments BrokerTroubles::found(const mqtt::Figures& figures, base::Timestamp now) {
    base::Impairments found;
    const auto say = [&](const char* name, const char* subject, std::string text,
                         std::optional<base::Timestamp> since) {
        if (since) found.push_back({name, subject, std::move(text), *since});
    };
    say("spool_failing", "", "a crash would lose what is not in the database yet: " + figures.spool_problem,
        figures.spool_failing_since);
    say("rival_client", "",
        "another client uses our id at the broker: each of the two hears a part of the messages only",
        figures.rival_since);
    say("broker_session_lost", "",
        "the broker had forgotten our session: what sensors sent while we were away is lost",
        lost_since(sessions_, figures.sessions_lost, now));
    say("readings_lost", "oversized messages",
        fmt::format("{} messages of more than {} KiB were refused: no sensor's reading is that long",
                    figures.oversized, sensors::longest_payload_bytes / 1024),
        lost_since(oversized_, figures.oversized, now));
    say("readings_lost", "spool",
        fmt::format("{} bytes of the spool were torn when the daemon last ended: readings of that moment may "
                    "be missing",
                    figures.spool_torn_bytes),
        lost_since(torn_, figures.spool_torn_bytes, now));
    return found;
}

}  // namespace gyled::app
