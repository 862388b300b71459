#pragma once
/// When were readings taken that carry no time of their own and come in one go after an absence: of the
/// broker, of us, of the sensor's way to the network?
///
/// What is known: their order, that none is older than the last one before the absence, and none younger than
/// its arrival. A sensor speaks evenly, so they are spread evenly over the gap. One that comes alone, and
/// those that come no faster than the sensor speaks, are live: they count at their arrival.

#include <deque>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "daemon/base/clock.hpp"
#include "daemon/base/freshness.hpp"
#include "sensors/plausibility/past.hpp"

namespace gyled::sensors {

/// Common practice, not simulation.
struct BacklogParameters {
    Duration absence_least = std::chrono::seconds{10};    ///< shorter: the arrival is the better guess
    Duration absence_unlearnt = std::chrono::minutes{1};  ///< while the usual interval is not known
    double absence_intervals = 3;  ///< of the usual ones without a word; fewer are a lost report or two
    /// No further one for so long: the backlog has ended. A broker sends at once; we may have to reconnect.
    Duration quiet = std::chrono::seconds{2};
    Duration held_most = std::chrono::seconds{5};  ///< a pressure among them is judged within ten seconds
    std::size_t held_count_most = 50'000;          ///< some 4 MiB a sensor
    double live_share = 0.5;  ///< of the usual interval: those that come further apart, on average, are live
    Duration live_unlearnt = std::chrono::milliseconds{250};  ///< the same, while the interval is not known
    Duration remembered = std::chrono::hours{1};  ///< arrivals of so long are kept: what comes twice is known
};

/// The memory: plain values, bounded. Make it anew with {}.
struct Undated {
    base::Cadence cadence;  ///< of the times given; `last` is the latest, or since when nothing was heard
    /// Arrivals of the latest backlogs: whoever arrived within has been given another time already.
    std::optional<Timestamp> spread_from, spread_until;
    friend bool operator==(const Undated&, const Undated&) = default;
};

/// Might one that arrives now be the first of a backlog?
[[nodiscard]] bool is_after_absence(const Undated& undated, Timestamp arrived,
                                    const BacklogParameters& with = {});
/// Does it come for a second time, as a part of a backlog that was spread?
[[nodiscard]] bool was_spread(const Undated& undated, Timestamp arrived);

/// What is known of those that are to be dated.
enum class Held : std::uint8_t {
    all,         ///< the backlog has ended
    some,        ///< more is coming: they take the room that they usually take
    no_arrival,  ///< nobody knows when they arrived but that it was not later: none is live
};
/// The times of those that arrived after an absence, given their arrivals: one or more, in order, ascending.
/// Nothing when they are live.
[[nodiscard]] std::optional<std::vector<Timestamp>> spread(const Undated& undated,
                                                           std::span<const Timestamp> arrivals, Held how,
                                                           const BacklogParameters& with = {});

/// Which times the readings of spread backlogs were given, of the newest ones: whoever takes them a second
/// time gives the same. Some 0.8 MiB at most. A value.
class TimesGiven {
public:
    static constexpr std::size_t remembered = 50'000;
    /// As for `note_spread`.
    void note(std::span<const Timestamp> arrivals, std::span<const Timestamp> times);
    [[nodiscard]] std::optional<Timestamp> to(Timestamp arrived) const;

private:
    std::deque<std::pair<Timestamp, Timestamp>> given_;  ///< arrival and time, in order of arrival
};

/// A reading got its time: live, or of a backlog.
void note_live(Undated& undated, Timestamp at, const BacklogParameters& with = {});
void note_spread(Undated& undated, std::span<const Timestamp> arrivals, std::span<const Timestamp> times,
                 const BacklogParameters& with = {});
/// Our clock was set.
void set_clock(Undated& undated, const base::ClockSet& set);

}  // namespace gyled::sensors
