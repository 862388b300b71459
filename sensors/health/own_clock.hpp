#pragma once
/// A sensor's own clock against ours: is an old message news from a slow clock, or old news from a good one?
///
/// A live sensor with a slow clock is always equally late: time zone or daylight saving forgotten, a clock
/// that was never set. A backlog catches up: it comes faster than it was taken, so each message is less late
/// than the one before. One old message alone proves neither; the next one does, or that none comes.

#include <optional>

#include "sensors/plausibility/lateness.hpp"
#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// Common practice, not simulation: networks, queues and whole-second times within; time zones without.
struct OwnClockParameters {
    Duration fresh = std::chrono::minutes{5};  ///< so long after its own time a message may come and be news
    Duration agreement = std::chrono::seconds{10};  ///< equally late: jitter of a network, and whole seconds
    Duration burst = std::chrono::seconds{1};       ///< older and older messages within: a backlog in reverse
    double live_least = 0.5;  ///< share of the own span in which live messages come; a backlog needs none
    int messages_needed = 5;  ///< equally late, before a time is corrected: readings are stored by it
    Duration span_needed = std::chrono::minutes{1};  ///< likewise
    double intervals_late = 3;  ///< later than so many intervals: one that sends at its next wake-up is less
    Duration zone = std::chrono::minutes{15};         ///< time zones differ by multiples of it
    Duration zone_within = std::chrono::seconds{90};  ///< so near a multiple it is one; the rest is drift
};

/// The memory: plain values, bounded. Make it anew with {}.
struct OwnClock {
    // The messages that were equally late, in a row up to the last one.
    int equally_late = 0;
    Duration late{};                     ///< the least lateness among them, by their own time
    Timestamp first_own, first_arrived;  ///< of the first of them, valid when there are any
    Timestamp last_own, last_arrived;    ///< of the last dated message
    // What was decided.
    Duration behind{};                     ///< so much is added to own times; 0: the clock is right
    std::optional<Timestamp> from, until;  ///< own times for which that holds; `until`: it is over
    Duration ahead{};                      ///< of the last message, when beyond tolerance
    friend bool operator==(const OwnClock&, const OwnClock&) = default;
};

struct Dated {
    Timestamp at;  ///< the own time, corrected
    Lateness lateness{};
};

/// Takes in a message's own time, and says what it is worth. Deterministic; a message that comes twice is
/// dated the same again, so that it is known again.
[[nodiscard]] Dated date(OwnClock& clock, Timestamp own, Timestamp arrived,
                         const OwnClockParameters& with = {});

/// How far its clock is off, as known now: positive behind, negative ahead; nothing while it is right.
[[nodiscard]] std::optional<Duration> clock_off(const OwnClock& clock);

}  // namespace gyled::sensors
