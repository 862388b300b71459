#pragma once
/// The memory of the house: one SQLite file, one writer. The file is also an interface: plain SQL reads it,
/// and the views named dash_* (views.sql) are its contract.

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "daemon/storage/outbox.hpp"
#include "daemon/storage/queries.hpp"
#include "daemon/storage/writer.hpp"

namespace gyled::storage {

class Known;  // the numbers that stand for ids in the file

struct Opening {
    std::string path;
    std::chrono::milliseconds busy_timeout{5000};  ///< how long to wait for somebody else's lock
    std::uint32_t pages_max = 0;  ///< at most so many 4 KiB pages; 0: no limit (tests play a full disk)
};

/// The one writer, which may also ask. Thread: one. Opening creates the file, or brings an older one up to
/// date (after a copy beside it, named <path>.before-v<N>), or throws StorageError. Durable after `write`
/// returns when the process dies; in a power cut the last commits before the file system's own flush may be
/// lost, never torn (WAL, synchronous NORMAL).
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

    std::size_t write(const Commit& group) override;
    /// Why batches were left out of what was written since the last call, in words; each reason once.
    [[nodiscard]] std::vector<std::string> take_refusals();
    void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                  const std::string& site) override;
    void remember(const std::string& key, const std::string& value) override;
    std::size_t prune(Timestamp before, std::size_t rows = rows_at_once) override;
    void checkpoint() override;
    void close() override;

private:
    std::unique_ptr<Known> known_;
    std::unique_ptr<OutboxTable> outbox_;
};

}  // namespace gyled::storage
