#pragma once
/// Gathers effects into the group of the next commit: when it is due, what is kept when the store fails.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/pipeline/kept_readings.hpp"
#include "daemon/pipeline/store.hpp"
#include "sensors/intake.hpp"

namespace gyled::pipeline {

using base::Duration;

struct LedgerParameters {
    Duration commit_every = std::chrono::seconds{1};  ///< readings wait at most so long for their commit
    std::size_t readings_at_once = 5'000;  ///< a group this large is written at once: load shortens the wait
    std::size_t readings_kept_max = 1'000'000;  ///< some 24 MiB while the store fails; what comes then stays
                                                ///< with the source
    std::size_t estimates_kept_max =
        100'000;  ///< some 10 MiB; then the oldest go, a restart makes them again
    /// While nothing may be committed because nobody knows the time: some 8 MiB. The rest waits with the
    /// source.
    std::size_t readings_waiting_max = 50'000;
    Duration retry_after = std::chrono::seconds{5};  ///< a full disk is not mended by asking it more often
};

/// Thread: one. No clock: time is an argument; a clock that was set back delays no commit.
class Ledger {
public:
    explicit Ledger(LedgerParameters parameters) : parameters_{parameters} {}

    void add(cellar::Effects&& effects);
    /// One that was turned away before, from a source that gives it again.
    void add_again(cellar::ReadingPoint&& reading);
    /// Readings and estimates are given anew, with other times.
    void forget_readings();
    /// The clock was set: what waits for its commit under a false time gets the right one.
    void set_clock(const base::ClockSet& set);

    [[nodiscard]] bool empty() const { return group_.effects.empty() && kept_.empty() && !urgent_; }
    /// So many were judged, and cannot be kept.
    void turn_away(std::size_t count) { turned_away_ += count; }
    /// Is there anything that must not wait (an alarm, a command), or has the group waited or grown enough?
    [[nodiscard]] bool is_due(Timestamp now) const;

    /// Writes the group, with where core and sensors stand now, and returns it. Nothing when the store failed
    /// (`problem`): the group is kept and given again next time. Beyond the bounds the oldest estimates go,
    /// and readings are turned away: judged, but not kept. From then on the source must keep its messages.
    /// After a failure the readings kept meanwhile follow slice by slice, one with each commit.
    [[nodiscard]] std::optional<Commit> commit(const cellar::Cellar& core, const sensors::Intake& intake,
                                               Store& store, Timestamp now);
    /// Writes what happened, without where core and sensors stand. Throws what the store throws; the group is
    /// kept then.
    void commit_events(Store& store);
    /// The next commit is due at once and holds all state anew: the store is another one.
    void forget_what_is_stored();
    /// The store could not be read or written, in its words.
    void note_problem(std::string problem, Timestamp now);
    /// Takes the notices out of a group that could not be committed.
    [[nodiscard]] std::vector<annunciation::Notice> take_notices() {
        return std::exchange(group_.effects.notices, {});
    }

    /// The store works, but what was kept for it is not all written yet: the source must keep its messages.
    [[nodiscard]] bool is_behind() const { return store_ok() && !kept_.empty(); }

    [[nodiscard]] bool store_ok() const { return problem_.empty(); }
    [[nodiscard]] const std::string& problem() const {
        return problem_;
    }                                                               ///< the store's words; empty when ok
    [[nodiscard]] std::uint64_t stored() const { return stored_; }  ///< readings, new ones only
    /// Readings that were judged and not kept: they wait with the source, which is to give them again.
    [[nodiscard]] std::uint64_t turned_away() const { return turned_away_; }
    /// It has done so.
    void none_is_turned_away() { turned_away_ = 0; }
    /// Those turned away since there were `before` of them are not with the source: nobody has them.
    void give_up(std::uint64_t before);
    [[nodiscard]] std::uint64_t lost() const { return lost_; }
    [[nodiscard]] std::optional<Timestamp> last_commit() const { return last_commit_; }

private:
    [[nodiscard]] bool may_try(Timestamp now) const;
    void keep(std::vector<cellar::ReadingPoint>&& readings);
    void keep(const cellar::ReadingPoint& reading);
    /// What comes now comes behind what is kept.
    [[nodiscard]] bool must_keep() const { return !store_ok() || !kept_.empty(); }
    void write_kept(Store& store);  ///< a slice of them
    void take_state(const cellar::Cellar& core, const sensors::Intake& intake);
    void note_committed();

    LedgerParameters parameters_;
    Commit group_;
    KeptReadings kept_;  ///< those of groups that the store refused, older than those of `group_`
    bool urgent_ = false;
    std::map<std::string, estimation::LearnedCurve> learned_committed_;
    std::map<std::string, sensors::SensorState> sensors_committed_;
    std::string problem_;
    std::uint64_t stored_ = 0, turned_away_ = 0, lost_ = 0;
    std::optional<Timestamp> last_commit_, last_attempt_;
};

}  // namespace gyled::pipeline
