#include "daemon/app/broker_troubles.hpp"

#include <fmt/format.h>

#include "sensors/decode/text.hpp"

namespace gyled::app {

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
        sessions_.told_since(figures.sessions_lost, now, parameters_));
    say("readings_lost", "oversized",
        fmt::format("{} messages of more than {} KiB were refused: no sensor's reading is that long",
                    figures.oversized, sensors::longest_payload_bytes / 1024),
        oversized_.told_since(figures.oversized, now, parameters_));
    say("readings_lost", "spool",
        fmt::format("{} bytes of the spool were torn when the daemon last ended: readings of that moment may "
                    "be missing",
                    figures.spool_torn_bytes),
        torn_.told_since(figures.spool_torn_bytes, now, parameters_));
    return found;
}

}  // namespace gyled::app
