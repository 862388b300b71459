#pragma once
/// The memory of the house: one SQLite file, one writer. The file is also an interface: plain SQL reads it,
/// and the views named dash_* (views.sql) are its contract.

#include <chrono>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/storage/outbox.hpp"
#include "daemon/storage/queries.hpp"
#include "daemon/storage/writer.hpp"

namespace gyled::storage {

class Known;      // the numbers that stand for ids in the file
class FileWatch;  // looks whether the file is still the one that we opened
enum class FileTrouble;

struct Opening {
    std::string path;
    std::chrono::milliseconds busy_timeout{5000};  ///< how long to wait for somebody else's lock
    std::uint32_t pages_max = 0;  ///< at most so many 4 KiB pages; 0: no limit (tests play a full disk)
    std::chrono::milliseconds sync_every{30'000};  ///< readings alone reach the disk within this and the next
                                                   ///< commit: about what Linux takes by itself
    std::int64_t outbox_ids_above = 0;  ///< those up to here were given out by a store that this one follows
};

/// The one writer, which may also ask. Thread: one. Opening creates the file, or brings an older one up to
/// date (after a copy beside it, named <path>.before-v<N>), or throws StorageError.
///
/// What `write` has written outlives the death of the process. A power cut tears nothing (WAL), and loses
/// nothing that was confirmed to a person: a group with an alarm, a notice, a batch or a fact, and what
/// became of a notice, stand on the disk when the call returns, with all that was written before. Groups of
/// readings alone may be lost, those of the last `Opening::sync_every`.
class Store final : public Queries, public Writer {
public:
    /// How many readings `prune` forgets at a time: some 20 ms on a small computer's SD card.
    static constexpr std::size_t rows_at_once = 20'000;

    explicit Store(const Opening& opening);
    explicit Store(const std::string& path) : Store{Opening{.path = path}} {}
    ~Store() override;  ///< closes; never throws
    Store(Store&&) noexcept;

    [[nodiscard]] Outbox& outbox() { return *outbox_; }
    [[nodiscard]] const Outbox& outbox() const { return *outbox_; }
    [[nodiscard]] std::int64_t highest_outbox_id() const { return outbox_->highest_id(); }

    std::size_t write(const Commit& group) override;
    /// Why batches were left out of what was written since the last call, in words; each reason once.
    [[nodiscard]] std::vector<std::string> take_refusals();
    void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                  const std::string& site) override;
    void remember(const std::string& key, const std::string& value) override;
    std::size_t prune(Timestamp before, std::size_t rows = rows_at_once) override;
    void checkpoint() override;
    void close() override;
    /// Closes and writes nothing more: for a file that is not what it was.
    void abandon();

    /// Moves rows that make no sense into the table set_aside, and says which, in words: the rest can be used
    /// without them. Call it before asking for what is remembered.
    [[nodiscard]] std::vector<std::string> set_aside_unreadable(Timestamp now);
    /// Takes over what can be read of a store that was put aside (recover.hpp), in words. Call it on a fresh
    /// store.
    std::string recover_from(const std::string& aside, std::chrono::milliseconds at_most);
    /// What has happened to the file behind our back, if anything. Cheap, unless somebody else wrote to the
    /// file: then its pages are checked, for a second at most.
    [[nodiscard]] std::optional<FileTrouble> trouble();

private:
    void write_group(const Commit& group, std::size_t& fresh);
    void keep_log_short();
    [[nodiscard]] bool is_sound_for_others() const;

    std::unique_ptr<Known> known_;
    std::unique_ptr<FileWatch> watch_;
    std::chrono::milliseconds sync_every_;
    std::chrono::steady_clock::time_point synced_at_;
    std::optional<Timestamp> state_at_;  ///< of the watch's own state, as last written
    std::unique_ptr<OutboxTable> outbox_;
};

}  // namespace gyled::storage
