#pragma once
/// What one can ask the store: the same questions for the writer and for a reader of its own.

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/cellar/history.hpp"
#include "daemon/cellar/vessel_state.hpp"
#include "daemon/estimation/gravity/prior.hpp"
#include "daemon/storage/error.hpp"
#include "sensors/state.hpp"

namespace gyled::storage {

using base::Quantity;
using base::Timestamp;

class Database;  // the SQLite connection; only storage/ knows what is inside

using cellar::Trend;

/// Thread: one thread per object; each object has a connection of its own. Ids may be any text. Everything
/// may throw StorageError. What is returned is a copy; nothing refers into the object.
class Queries {
public:
    virtual ~Queries();
    Queries(Queries&&) noexcept;
    Queries& operator=(Queries&&) noexcept;

    /// Accepted readings with from <= at < to in order of their own time, of one vessel or, with an empty id,
    /// of all. What is restored: `arrived` equals `at`, for the store does not keep it. Returns how many
    /// there were.
    std::size_t for_each_reading(const std::string& vessel, Timestamp from, Timestamp to,
                                 const std::function<void(const cellar::ReadingPoint&)>& each) const;
    /// At most `points` buckets of equal width, counted from `from`, over from <= at < to; empty when there
    /// is no data, `to` is not after `from`, or `points` is 0. Buckets wider than five minutes come from the
    /// 15-minute roll-ups and then start on a full quarter of an hour. Several sensors of one quantity are
    /// taken together.
    [[nodiscard]] Trend trend(const std::string& vessel, Quantity quantity, Timestamp from, Timestamp to,
                              std::size_t points) const;

    /// What is stored of one vessel with from <= at < to, some `limit` readings and as many estimates at the
    /// most: a page of all. Precondition: `limit` is more than what a vessel has of one moment.
    [[nodiscard]] cellar::StoredValues values(const std::string& vessel, Timestamp from, Timestamp to,
                                              std::size_t limit) const;

    [[nodiscard]] std::vector<batch::Record> running_batches() const;
    [[nodiscard]] std::vector<batch::Record> batches(std::size_t limit) const;  ///< newest first
    [[nodiscard]] std::optional<batch::Record> batch(const std::string& id) const;

    /// The last transition of each occurrence that is not over, oldest first.
    [[nodiscard]] std::vector<alarms::Transition> standing_alarms() const;
    /// The last transition of each occurrence, newest first; those whose `at` is earlier than `before`.
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         Timestamp before = Timestamp::max()) const;
    /// The same order, going on behind the place where the page before ended: none is lost between two pages.
    /// One that changes meanwhile moves to the front.
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         const cellar::AlarmPlace& after) const;

    /// The memory of every vessel as of the last commit, with its running batch. A vessel of which none was
    /// kept (a store of version 1), but which has a running batch or a standing alarm: the best that can be
    /// made of these and of its sensors' last words.
    [[nodiscard]] std::vector<cellar::VesselState> vessel_states() const;
    /// The memory of every sensor as of the last commit. One that cannot be read is left out.
    [[nodiscard]] std::vector<sensors::SensorState> sensor_states() const;

    /// What was remembered under this key, e.g. where an import stood.
    [[nodiscard]] std::optional<std::string> recall(const std::string& key) const;
    /// What finished batches taught, by culture name. A curve that cannot be read is left out.
    [[nodiscard]] std::map<std::string, estimation::LearnedCurve> learned() const;

    /// Nothing when every page is sound, else SQLite's first complaints. Reads the whole file: seconds when
    /// it is large.
    [[nodiscard]] std::optional<std::string> integrity_problem() const;
    /// Copies the live store to `path` (replaced when it exists) without stopping anyone, and checks the
    /// copy.
    void backup_to(const std::string& path) const;
    [[nodiscard]] const std::string& path() const;

protected:
    explicit Queries(std::unique_ptr<Database> database);
    [[nodiscard]] Database& database() const { return *database_; }
    std::unique_ptr<Database> database_;
};

/// A read-only connection of one's own: sees what is committed, never blocks the writer, may not write.
class ReadStore final : public Queries {
public:
    /// `alone`: keeps everybody else out, and needs no room for the log's index on the disk.
    enum class Beside { others, alone };
    explicit ReadStore(const std::string& path, Beside beside = Beside::others);
    /// Another file has taken the place of the one that is open, or none: open anew.
    [[nodiscard]] bool has_moved() const;
};

}  // namespace gyled::storage
