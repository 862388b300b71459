#include "daemon/app/watch_clock.hpp"

#include <spdlog/spdlog.h>

namespace gyled::app {

WatchClock::WatchClock(base::Clock clock, base::Timestamp at_least)
    : clock_{std::move(clock)},
      timekeeper_{faces(), at_least},
      ahead_of_steady_{timekeeper_.ahead_of_steady()} {
    if (timekeeper_.is_unset())
        spdlog::warn("the clock is not set: it says {}; nothing is stored until it is",
                     base::to_rfc3339(clock_.wall()));
}

pipeline::Timekeeper::Look WatchClock::faces() const {
    return {clock_.wall(), clock_.steady(), clock_.synchronised()};
}

base::Timestamp WatchClock::now() const {
    return base::Timestamp{clock_.steady() + ahead_of_steady_.load()};
}

std::optional<base::ClockSet> WatchClock::look() {
    const auto jump_before = timekeeper_.last_jump();
    const auto set = timekeeper_.look(faces());
    ahead_of_steady_ = timekeeper_.ahead_of_steady();
    const auto& jump = timekeeper_.last_jump();
    if (set)
        spdlog::warn("the clock was set from {} to {}", base::to_rfc3339(set->from),
                     base::to_rfc3339(set->to));
    else if (jump && (!jump_before || jump_before->since != jump->since))
        spdlog::warn("the clock jumped from {} to {}; the watch counts on", base::to_rfc3339(jump->from),
                     base::to_rfc3339(jump->to));
    return set;
}

}  // namespace gyled::app
