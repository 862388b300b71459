#pragma once
/// The two faces of a clock. The core never looks at either: time comes to it as an argument. Whoever drives
/// the core needs both, because the time on the wall may be set, by people and by NTP, while the steady time
/// only ever counts.

#include <concepts>
#include <functional>

#include "daemon/base/time.hpp"

namespace gyled::base {

/// Any thread may ask any of the three.
struct Clock {
    std::function<Timestamp()> wall;     ///< UTC as the machine believes it to be; may jump, also backwards
    std::function<Duration()> steady;    ///< since some moment of the past; never jumps, sleep is counted
    std::function<bool()> synchronised;  ///< does the machine know its wall time from elsewhere?

    Clock(std::function<Timestamp()> on_the_wall, std::function<Duration()> never_set,
          std::function<bool()> known_from_elsewhere)
        : wall{std::move(on_the_wall)},
          steady{std::move(never_set)},
          synchronised{std::move(known_from_elsewhere)} {}
    /// A clock whose wall nobody ever sets: that of most tests.
    template <std::convertible_to<std::function<Timestamp()>> Face>
    Clock(Face face)  // NOLINT(google-explicit-constructor): it is that clock
        : wall{face}, steady{[face] { return face().time_since_epoch(); }}, synchronised{[] {
              return true;
          }} {}
};

/// The machine's: CLOCK_REALTIME, CLOCK_BOOTTIME, and what adjtimex(2) says of synchronisation (a system that
/// may not be asked counts as not synchronised).
[[nodiscard]] Clock system_clock();
/// When this program's source was written: no true wall shows an earlier time. From the build
/// (SOURCE_DATE_EPOCH, or the newest commit, or the day of the build).
[[nodiscard]] Timestamp source_time();

/// The clock was set: the moment that was called `from` is called `to` from here on. No time went by.
struct ClockSet {
    Timestamp from, to;
    /// Since when moments were named falsely (by a clock that was known to be wrong); nothing: not known.
    std::optional<Timestamp> false_since{};

    [[nodiscard]] Duration by() const { return to - from; }
    /// The new name of a moment that counts by the watch's own time: of a delay, of a silence.
    [[nodiscard]] Timestamp renamed(Timestamp t) const { return t == Timestamp{} ? t : t + by(); }
    void rename(Timestamp& t) const { t = renamed(t); }
    void rename(std::optional<Timestamp>& t) const {
        if (t) t = renamed(*t);
    }
    /// Of a moment on record: it keeps its name, unless that is false or would lie in the future.
    [[nodiscard]] Timestamp corrected(Timestamp t) const {
        return t > to || (false_since && t >= *false_since) ? renamed(t) : t;
    }
};

}  // namespace gyled::base
