#pragma once
/// Keeps the store small and quick: old readings go, the write-ahead log is moved into the file.

#include <optional>

#include "daemon/storage/store.hpp"

namespace gyled::app {

struct HousekeepingParameters {
    base::Duration checkpoint_every = std::chrono::minutes{10};  ///< a log of some MiB reads as fast as none
    base::Duration prune_every = std::chrono::hours{1};  ///< once nothing is left to go; in slices until then
    base::Duration keep_raw = std::chrono::hours{24 * 400};  ///< raw readings; their roll-ups stay
    /// So long after a start, and after the clock was set, nothing is deleted: a wrong clock is put right.
    base::Duration forbearance = std::chrono::hours{1};
};

/// Before when readings are old enough to go. The age of a reading is counted from the newest thing that the
/// store held when this run began, plus what this run has lived through by the steady clock; never beyond the
/// watch's own time. So no clock, however wrong and for however long, makes readings old that are not.
class PruneTime {
public:
    /// `stored_until`: when the last run ended, by its own word; or now, when there was none.
    PruneTime(base::Timestamp stored_until, base::Duration steady, const HousekeepingParameters& parameters)
        : newest_at_start_{stored_until}, began_{steady}, quiet_since_{steady}, parameters_{parameters} {}

    void clock_was_set(base::Duration steady) { quiet_since_ = steady; }
    /// Nothing: not now.
    [[nodiscard]] std::optional<base::Timestamp> before(base::Timestamp now, base::Duration steady) const;

private:
    base::Timestamp newest_at_start_;
    base::Duration began_, quiet_since_;
    HousekeepingParameters parameters_;
};

/// Thread: the main loop's. Never throws: what the store refuses is logged and tried again when due next.
class Housekeeping {
public:
    Housekeeping(storage::Writer& store, HousekeepingParameters parameters, PruneTime prune_time)
        : store_{store}, parameters_{parameters}, prune_time_{prune_time} {}

    /// Its cadence is that of the steady clock; `now` is the watch's time.
    void round(base::Timestamp now, base::Duration steady);
    void clock_was_set(base::Duration steady) { prune_time_.clock_was_set(steady); }
    void finish();  ///< the last checkpoint

private:
    void checkpoint(base::Duration steady);
    void prune(base::Timestamp now, base::Duration steady);

    storage::Writer& store_;
    HousekeepingParameters parameters_;
    PruneTime prune_time_;
    std::optional<base::Duration> last_checkpoint_, last_prune_;  ///< steady
};

}  // namespace gyled::app
