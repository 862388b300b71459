#pragma once
/// Faster than the vessel allows? One wild reading is doubted; a new level that stays is believed.

#include <array>
#include <optional>

#include "sensors/plausibility/track.hpp"

namespace gyled::sensors {

/// How far a quantity may move between two readings: `step` at once, and `per_minute` for each minute between
/// them beyond `grace`. In the canonical unit; common practice.
struct JumpLimit {
    double step;
    double per_minute;
    Duration grace;
    [[nodiscard]] double allowance(Duration between) const;
};

/// Nothing for a quantity that is never held back. Pressure is such: a burst of pressure is real until
/// somebody has looked, and doubting it even once could hurt a person.
[[nodiscard]] std::optional<JumpLimit> jump_limit(base::Quantity q);

/// Doubts readings that lie too far from both their neighbours in event time. Dough-in, hot liquor and a
/// float moved from water to wort are real, so three consecutive readings that agree with each other move the
/// level.
class JumpWatch {
public:
    explicit JumpWatch(base::Quantity q) : limit_{jump_limit(q)} {}
    /// Is this reading to be refused? Call once for each, in the order of arrival. A doubted reading that is
    /// merely delivered again proves nothing.
    [[nodiscard]] bool refuses(const Track::Neighbours& neighbours, Past reading);

private:
    static constexpr std::size_t enough_agreeing = 3;
    [[nodiscard]] bool agree(const Past& a, const Past& b) const;

    std::optional<JumpLimit> limit_;
    std::array<Past, enough_agreeing - 1> doubted_{};  // refused in a row, agreeing with each other
    std::size_t doubts_ = 0;                           // how many of them
};

}  // namespace gyled::sensors
