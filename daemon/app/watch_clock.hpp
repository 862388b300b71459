#pragma once
/// The watch's time, for every thread: the steady clock, and how far ahead of it the timekeeper says we are.

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "daemon/pipeline/timekeeper.hpp"

namespace gyled::app {

/// What of the clock does not work: an impairment's name and words.
struct ClockTrouble {
    std::string name, text;
};

struct WatchClockParameters {
    base::Duration jump_told = std::chrono::hours{1};  ///< so long does a jump stand among what does not work
};

class WatchClock {
public:
    /// `last_word`: the end of the last run, by its own time.
    WatchClock(base::Clock clock, base::Timestamp last_word);

    /// Any thread, also through copies of what `function` returned, which must not outlive it.
    [[nodiscard]] base::Timestamp now() const;
    /// Any thread: is `now` more than a guess?
    [[nodiscard]] bool is_set() const { return is_set_; }
    [[nodiscard]] base::Duration steady() const { return clock_.steady(); }
    [[nodiscard]] std::function<base::Timestamp()> function() const {
        return [this] { return now(); };
    }

    /// Main loop, once a round: compares both faces, and writes to the log what is odd. What the pipeline
    /// must be told, when the wall is followed; `now` gives the new time after `follow` only, so that what
    /// arrived under the old one can be taken in before.
    [[nodiscard]] std::optional<base::ClockSet> look();
    void follow() {
        ahead_of_steady_ = timekeeper_.ahead_of_steady();
        is_set_ = !timekeeper_.is_unset();
    }
    [[nodiscard]] std::vector<ClockTrouble> troubles() const;
    [[nodiscard]] const pipeline::Timekeeper& timekeeper() const { return timekeeper_; }

private:
    [[nodiscard]] pipeline::Timekeeper::Look faces() const;

    base::Clock clock_;
    pipeline::Timekeeper timekeeper_;
    std::atomic<base::Duration> ahead_of_steady_;
    std::atomic<bool> is_set_;
};

}  // namespace gyled::app
