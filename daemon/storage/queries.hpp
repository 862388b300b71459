#pragma once
/// What one can ask the store: the same questions for the writer and for a reader of its own.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/time.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/storage/error.hpp"

namespace gyled::storage {

using base::Quantity;
using base::Timestamp;

class Database;  // the SQLite connection; only storage/ knows what is inside

/// Down-sampled history, ascending, one entry per bucket that holds anything. Canonical units
/// (brewing/quantity.hpp). Measured: mean, min and max of the accepted readings. Estimated: mean of the
/// value, the lowest low and the highest high; a moment's `high` may be +infinity. The four vectors have one
/// length.
struct Trend {
    std::vector<Timestamp> at;  ///< where the bucket starts
    std::vector<double> value, low, high;
    friend bool operator==(const Trend&, const Trend&) = default;
};

/// Thread: one thread per object. Ids may be any text. Everything may throw StorageError.
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
    /// The newest accepted reading of every sensor that is still kept raw.
    [[nodiscard]] std::vector<cellar::ReadingPoint> last_readings() const;
    /// At most `points` buckets of equal width, counted from `from`, over from <= at < to; empty when there
    /// is no data, `to` is not after `from`, or `points` is 0. Buckets wider than five minutes come from the
    /// 15-minute roll-ups and then start on a full quarter of an hour. Several sensors of one quantity are
    /// taken together.
    [[nodiscard]] Trend trend(const std::string& vessel, Quantity quantity, Timestamp from, Timestamp to,
                              std::size_t points) const;

    [[nodiscard]] std::vector<batch::Record> running_batches() const;
    [[nodiscard]] std::vector<batch::Record> batches(std::size_t limit) const;  ///< newest first
    [[nodiscard]] std::optional<batch::Record> batch(const std::string& id) const;

    /// The last transition of each occurrence that is not over, oldest first.
    [[nodiscard]] std::vector<alarms::Transition> standing_alarms() const;
    /// The last transition of each occurrence, newest first, those whose `at` is earlier than `before` when
    /// given.
    [[nodiscard]] std::vector<alarms::Transition> alarms(std::size_t limit,
                                                         std::optional<Timestamp> before = {}) const;
    /// Every step of one occurrence, in order.
    [[nodiscard]] std::vector<alarms::Transition> life_of(const std::string& alarm) const;

    /// What was remembered under this key, e.g. where an import stood.
    [[nodiscard]] std::optional<std::string> recall(const std::string& key) const;
    /// What batches of this culture taught us: text whose meaning estimation/ owns.
    [[nodiscard]] std::optional<std::string> learned(const std::string& culture_name) const;

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
    explicit ReadStore(const std::string& path);
};

}  // namespace gyled::storage
