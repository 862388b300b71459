#pragma once
/// A store that fails on demand: a real one in a file of its own, with knobs before it. What passes the knobs
/// is written for real, so that a test can ask what a restart would find.

#include <functional>
#include <string>
#include <vector>

#include "daemon/storage/store.hpp"

namespace gyled::testing {

/// Thread: one, the test's.
class FaultyStore final : public storage::Writer, public storage::Outbox {
public:
    /// Opens or creates the file. Throws StorageError.
    explicit FaultyStore(const std::string& path) : store_{path} {}

    // the knobs
    std::size_t fail_writes = 0;   ///< so many of the next commits fail, as when somebody holds the lock
    bool is_full = false;          ///< everything that writes fails for want of space, until it is taken back
    bool fails_in_outbox = false;  ///< what became of a notice cannot be written down
    std::function<void()> slow;    ///< called within each commit, before it: a disk that takes its time

    // what was seen
    std::size_t writes_tried = 0;
    std::size_t writes_done = 0;
    mutable std::size_t due_asked = 0;  ///< how often the outbox was searched
    bool is_closed = false;

    /// The real store behind it: what is remembered.
    [[nodiscard]] storage::Store& store() { return store_; }
    [[nodiscard]] const storage::Queries& queries() const { return store_; }

    std::size_t write(const cellar::Commit& group) override;
    void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                  const std::string& site) override;
    void remember(const std::string& key, const std::string& value) override;
    std::size_t prune(base::Timestamp before, std::size_t rows) override;
    void checkpoint() override;
    void close() override;

    [[nodiscard]] std::vector<storage::OutboxEntry> due(base::Timestamp now,
                                                        std::size_t limit) const override;
    [[nodiscard]] std::uint64_t entered() const override { return store_.outbox().entered(); }
    [[nodiscard]] std::size_t pending() const override { return store_.outbox().pending(); }
    void add(const annunciation::Notice& notice) override;
    void delivered(std::int64_t id, base::Timestamp at) override;
    void deferred(std::int64_t id, base::Timestamp next_try, unsigned attempts,
                  const std::string& why) override;
    void expired(std::int64_t id, base::Timestamp at, const std::string& why) override;

private:
    void refuse_when_full() const;
    void refuse_in_outbox() const;

    storage::Store store_;
};

}  // namespace gyled::testing
