#pragma once
/// The watch's time, for every thread: the steady clock, and how far ahead of it the timekeeper says we are.

#include <atomic>
#include <memory>
#include <optional>

#include "daemon/pipeline/timekeeper.hpp"

namespace gyled::app {

class WatchClock {
public:
    /// `at_least`: the end of the last run, by its own word.
    WatchClock(base::Clock clock, base::Timestamp at_least);

    /// Any thread, also through copies of what `function` returned, which must not outlive it.
    [[nodiscard]] base::Timestamp now() const;
    [[nodiscard]] base::Duration steady() const { return clock_.steady(); }
    [[nodiscard]] std::function<base::Timestamp()> function() const {
        return [this] { return now(); };
    }

    /// Main loop, once a round: compares both faces, and writes to the log what is odd. What the pipeline
    /// must be told, when the wall is followed.
    [[nodiscard]] std::optional<base::ClockSet> look();
    [[nodiscard]] const pipeline::Timekeeper& timekeeper() const { return timekeeper_; }

private:
    [[nodiscard]] pipeline::Timekeeper::Look faces() const;

    base::Clock clock_;
    pipeline::Timekeeper timekeeper_;
    std::atomic<base::Duration> ahead_of_steady_;
};

}  // namespace gyled::app
