#pragma once
/// The memory of the house: one SQLite file, one writer. The file is also an interface: plain SQL reads it,
/// and the views named dash_* (schema.sql.hpp) are its contract.

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "daemon/batch/plan.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/display/display.hpp"
#include "daemon/storage/queries.hpp"

namespace gyled::storage {

class Known;  // the numbers that stand for ids in the file

struct Opening {
    std::string path;
    std::chrono::milliseconds busy_timeout{5000};  ///< how long to wait for somebody else's lock
    std::uint32_t pages_max = 0;  ///< at most so many 4 KiB pages; 0: no limit (tests play a full disk)
};

/// A notice on its way to one messenger.
struct OutboxEntry {
    std::int64_t id = 0;
    std::string messenger;
    annunciation::Notice notice;
    unsigned attempts = 0;  ///< how often it has been tried
    Timestamp next_try;
    std::string problem;  ///< why the last attempt failed
};

/// Who is to hear of a notice: names of messengers. Called within `write`, must not throw.
using Addressees = std::function<std::vector<std::string>(const annunciation::Notice&)>;

/// The one writer. Thread: the main loop's. Opening creates the file, or brings an older one up to date
/// (after a copy beside it, named <path>.before-v<N>), or throws StorageError. Durable after `write` returns
/// when the process dies; in a power cut the last commits before the file system's own flush may be lost,
/// never torn (WAL, synchronous NORMAL).
class Store final : public Queries {
public:
    explicit Store(const Opening& opening);
    explicit Store(const std::string& path) : Store{Opening{.path = path}} {}
    ~Store() override;  ///< closes; never throws
    Store(Store&&) noexcept;

    /// Writes everything in `group` in one transaction: all of it or, when it throws, nothing; then the same
    /// group may be given again. What is there already is not doubled: a reading is known by (sensor, at) and
    /// the first one stays; an estimate by (vessel, quantity, at), a batch by id, a fact by (vessel, batch,
    /// kind, at), and the last one wins; a notice once for each messenger. Values that are not finite do not
    /// enter (an estimate's `high` may be +infinity). `problems` are not stored. Returns how many readings
    /// were new.
    std::size_t write(const cellar::Effects& group, const Addressees& addressees = {});

    /// What the dashboards need to speak the person's language. Call once at start.
    void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                  const std::string& site);

    // the outbox: at least once, until delivered or given up
    [[nodiscard]] std::vector<OutboxEntry> due(Timestamp now,
                                               std::size_t limit = 50) const;  ///< oldest notice first
    [[nodiscard]] std::optional<Timestamp> next_due()
        const;  ///< when to look again; nothing when all is delivered
    void add(const annunciation::Notice& notice, const std::string& messenger);  ///< due at once
    void delivered(std::int64_t id, Timestamp at);
    void retry(std::int64_t id, Timestamp next_try, unsigned attempts, const std::string& why);
    void gave_up(std::int64_t id, Timestamp at, const std::string& why);
    [[nodiscard]] std::size_t pending() const;

    void remember(const std::string& key, const std::string& value);
    void save_learned(const std::string& culture_name, const std::string& text);

    /// Forgets raw readings taken before this time (their roll-ups stay), thins estimates of that age to one
    /// an hour, and drops outbox entries that are done. At most `rows` readings a call, so that the loop is
    /// not held up; returns how many went: call again until 0.
    std::size_t prune(Timestamp before, std::size_t rows = 20'000);
    /// Moves the write-ahead log into the database and cuts it to nothing when no reader stands in the way.
    void checkpoint();
    /// Checkpoints and closes, so that readers without write permission can go on. Also done by the
    /// destructor.
    void close();

private:
    std::unique_ptr<Known> known_;
};

}  // namespace gyled::storage
