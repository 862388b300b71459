#pragma once
/// What the daemon does to its memory: the interface that the store and the tests' double have in common.

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "daemon/batch/plan.hpp"
#include "daemon/cellar/commit.hpp"
#include "daemon/display/display.hpp"
#include "daemon/storage/error.hpp"

namespace gyled::storage {

using base::Timestamp;

using cellar::Commit;

/// The one writer. Thread: one, the owner's. Everything may throw StorageError.
class Writer {
public:
    virtual ~Writer() = default;

    /// Writes everything in `group` in one transaction: all of it or, when it throws, nothing; then the same
    /// group may be given again. What is there already is not doubled: a reading is known by (sensor, at) and
    /// the first one stays; an estimate by (vessel, quantity, at), a batch by id, a fact by (vessel, batch,
    /// kind, at), and the last one wins; a notice once for each of its recipients. A state's running batch is
    /// written with it. Values that are not finite do not enter (an estimate's `high` may be +infinity);
    /// `recalls`, `answers` and `problems` are not stored. A batch whose id belongs to another batch is
    /// left out, and the rest is written: the readings do not answer for it. Returns how many readings were
    /// new.
    virtual std::size_t write(const Commit& group) = 0;

    /// What the dashboards need to speak the person's language. Call once at start.
    virtual void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                          const std::string& site) = 0;
    /// Any text under any key, e.g. where an import stood; the last one wins.
    virtual void remember(const std::string& key, const std::string& value) = 0;

    /// Forgets raw readings taken before this time (their roll-ups stay), thins estimates of that age to one
    /// an hour, and drops outbox entries that are done. At most `rows` readings a call, so that the loop is
    /// not held up; returns how many went: call again until 0.
    virtual std::size_t prune(Timestamp before, std::size_t rows) = 0;
    /// Moves the write-ahead log into the database and cuts it to nothing when no reader stands in the way.
    virtual void checkpoint() = 0;
    /// Checkpoints and closes, so that readers without write permission can go on. Nothing else may be called
    /// afterwards but `close`.
    virtual void close() = 0;
};

}  // namespace gyled::storage
