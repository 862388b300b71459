#include "daemon/app/watch_clock.hpp"

#include <spdlog/spdlog.h>

#include <fmt/format.h>

namespace gyled::app {
namespace {

constexpr WatchClockParameters parameters;

/// To the second, in UTC: what is odd may be the year.
std::string written(base::Timestamp t) {
    return base::to_rfc3339(std::chrono::floor<std::chrono::seconds>(t));
}

std::string words(const pipeline::ClockJump& jump) {
    using Now = pipeline::ClockJump::Now;
    const auto leap = fmt::format("from {} to {}", written(jump.from), written(jump.to));
    switch (jump.now) {
        case Now::doubted:
            return fmt::format("the clock jumped {}; the watch counts on by the steady clock", leap);
        case Now::followed:
            return fmt::format("the clock was set {}; the watch follows, and what was stored keeps its times",
                               leap);
        case Now::over:
            return fmt::format("the clock jumped {}, and came back; the watch counted on", leap);
    }
    return {};
}

}  // namespace

WatchClock::WatchClock(base::Clock clock, base::Timestamp last_word)
    : clock_{std::move(clock)},
      timekeeper_{faces(), last_word},
      ahead_of_steady_{timekeeper_.ahead_of_steady()},
      is_set_{!timekeeper_.is_unset()} {
    if (timekeeper_.is_unset()) spdlog::warn("{}", troubles().front().text);
}

/// The kernel is asked whether it is synchronised where that decides something alone: a stream has us look
/// with each group of it.
pipeline::Timekeeper::Look WatchClock::faces() const {
    const base::Timestamp wall = clock_.wall();
    return {wall, clock_.steady(), wall < pipeline::TimekeeperParameters{}.earliest && clock_.synchronised()};
}

base::Timestamp WatchClock::now() const {
    return base::Timestamp{clock_.steady() + ahead_of_steady_.load()};
}

std::vector<ClockTrouble> WatchClock::troubles() const {
    std::vector<ClockTrouble> found;
    if (timekeeper_.is_unset())
        found.push_back(
            {"clock_unset",
             fmt::format("the machine's clock says {}, which cannot be; what is measured is stored once "
                         "it is set",
                         written(clock_.wall()))});
    if (const auto& jump = timekeeper_.last_jump();
        jump && (jump->now == pipeline::ClockJump::Now::doubted ||
                 clock_.steady() - jump->since < parameters.jump_told))
        found.push_back({"clock_jumped", words(*jump)});
    return found;
}

std::optional<base::ClockSet> WatchClock::look() {
    const auto jump_before = timekeeper_.last_jump();
    const auto set = timekeeper_.look(faces());
    if (!set) follow();
    const auto& jump = timekeeper_.last_jump();
    const bool has_news =
        jump && (!jump_before || jump_before->since != jump->since || jump_before->now != jump->now);
    if (has_news)
        spdlog::warn("{}", words(*jump));
    else if (set)
        spdlog::warn("the clock was set to {}", written(set->to));
    return set;
}

}  // namespace gyled::app
