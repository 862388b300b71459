#pragma once
/// How quickly a rehearsal lives. Programs that are given the same pace agree on the time, whenever each of
/// them was started. Plain value; any thread.

#include <string>
#include <string_view>
#include <vector>

#include "daemon/base/clock.hpp"
#include "daemon/base/result.hpp"

namespace gyled::base {

class Pace {
public:
    /// "60": so many times as fast as the clock on the wall. "60,5.25h:4000": from 5.25 hours of its own on
    /// at another speed. "60@2026-03-01T08:00:00Z": since then by the wall; else since `now`. Speeds from 1
    /// to 100 000. The error is a sentence.
    [[nodiscard]] static Result<Pace, std::string> from(std::string_view text, Timestamp now);

    /// The rehearsal's time when the wall shows `wall`: the same until it begins.
    [[nodiscard]] Timestamp at(Timestamp wall) const;
    [[nodiscard]] Timestamp origin() const { return origin_; }

private:
    struct Leg {
        Duration from{};  ///< of the rehearsal's own time, since it began
        double speed = 1;
    };
    Timestamp origin_;
    std::vector<Leg> legs_;  ///< at least one, the first from 0
};

/// A clock on which time passes at that pace. Both of its faces go by the wall, on which the other programs
/// of the rehearsal reckon, too: a clock that is slewed by 0.1 % is an hour off in ten minutes else.
[[nodiscard]] Clock hurried(const Clock& real, const Pace& pace);

}  // namespace gyled::base
