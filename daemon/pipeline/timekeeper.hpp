#pragma once
/// What time the watch goes by. It counts by the steady clock; the wall says which moment that is, and is
/// believed when it agrees, or when it has stood by another word for a while.
///
/// So a wall that is a year ahead for ten seconds moves nothing, and one that was set an hour back is
/// followed after a minute, in one named step (`base::ClockSet`) that the core takes as a new name for the
/// same moment.

#include <optional>

#include "daemon/base/clock.hpp"

namespace gyled::pipeline {

using base::Duration;
using base::Timestamp;

struct TimekeeperParameters {
    /// The wall may part from the steady clock by so much between two looks: followed silently. NTP slews far
    /// below that (500 ppm), and steps of less disturb no rule.
    Duration step = std::chrono::seconds{5};
    /// So long (steady) must a new wall time stand before it is believed: a slip of a hand or of a time
    /// server is over by then, and the watch loses nothing, for it counts on meanwhile.
    Duration believed_after = std::chrono::minutes{1};
    /// A wall that is behind the watch's own last word by no more than this is doubted like one that jumped:
    /// machines without a battery boot with the time at which they were last shut down.
    Duration behind_most = std::chrono::hours{24};
    /// No true wall shows an earlier time, unless it is synchronised.
    Timestamp earliest = base::source_time();
};

/// The last time that the wall leapt.
struct ClockJump {
    Timestamp from;  ///< the watch's time when that was noticed
    Timestamp to;    ///< what the wall said then
    enum class Now : std::uint8_t { doubted, followed, over } now = Now::doubted;
    Duration since{};  ///< steady; when it was noticed
};

/// No clock inside: both faces are arguments. Thread: one.
class Timekeeper {
public:
    struct Look {
        Timestamp wall;
        Duration steady;
        bool synchronised = false;  ///< looked at where the wall is earlier than `earliest`
    };
    /// `last_word`: the end of the last run, by the watch's own time. With a wall that cannot be right, or
    /// seems to be a little behind that, it goes on from there, as if no time had passed meanwhile.
    Timekeeper(const Look& first, Timestamp last_word, TimekeeperParameters parameters = {});

    /// To be called once a second or so. What must be told to the core, when the wall is followed.
    [[nodiscard]] std::optional<base::ClockSet> look(const Look& now);

    /// The watch's time: this much beyond the steady clock.
    [[nodiscard]] Duration ahead_of_steady() const { return offset_; }
    [[nodiscard]] Timestamp at(Duration steady) const { return Timestamp{steady + offset_}; }
    /// Nobody knows what time it is: the wall shows a time that lies before the source of this program. Times
    /// are provisional.
    [[nodiscard]] bool is_unset() const { return unset_; }
    [[nodiscard]] const std::optional<ClockJump>& last_jump() const { return jump_; }

private:
    [[nodiscard]] bool is_plausible(const Look& now) const;
    void note_jump(const Look& now);
    [[nodiscard]] base::ClockSet follow(const Look& now);

    TimekeeperParameters parameters_;
    Duration offset_;
    bool unset_;
    Timestamp began_;
    struct Candidate {
        Duration offset, since;
    };
    std::optional<Candidate> candidate_;
    std::optional<ClockJump> jump_;
};

}  // namespace gyled::pipeline
