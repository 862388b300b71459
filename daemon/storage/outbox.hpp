#pragma once
/// Notices on their way: at least once, until delivered or expired.

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/annunciation/notice.hpp"
#include "daemon/base/time.hpp"
#include "daemon/storage/error.hpp"

namespace gyled::storage {

using base::Timestamp;

class Database;  // the SQLite connection; only storage/ knows what is inside

/// A notice on its way to one messenger. The notice's `recipients` are not kept: each has an entry of its
/// own.
struct OutboxEntry {
    std::int64_t id = 0;
    std::string messenger;
    annunciation::Notice notice;
    unsigned attempts = 0;  ///< how often it has been tried
    Timestamp next_try;     ///< not before; 1970 for one that was never tried
    std::string problem;    ///< why the last attempt failed, in words
};

/// What the courier's side of the house needs of the store. Entries come in through `Writer::write`. Thread:
/// the writer's. Everything may throw StorageError; an entry then stands as it stood.
class Outbox {
public:
    virtual ~Outbox() = default;
    /// Those whose next try is not after `now`, oldest notice first.
    [[nodiscard]] virtual std::vector<OutboxEntry> due(Timestamp now, std::size_t limit) const = 0;
    /// Grows with every entry that comes in, from 0 at opening: whoever has asked for what is due, and keeps
    /// it, asks again only when this has grown. Costs nothing. Never throws.
    [[nodiscard]] virtual std::uint64_t entered() const = 0;
    /// How many are neither delivered nor expired.
    [[nodiscard]] virtual std::size_t pending() const = 0;

    /// One entry for each of the notice's recipients, due at once; what is there already is not doubled.
    virtual void add(const annunciation::Notice& notice) = 0;
    virtual void delivered(std::int64_t id, Timestamp at) = 0;
    virtual void deferred(std::int64_t id, Timestamp next_try, unsigned attempts, const std::string& why) = 0;
    virtual void expired(std::int64_t id, Timestamp at, const std::string& why) = 0;
};

/// The outbox as a table of the store's file. The database outlives it.
class OutboxTable final : public Outbox {
public:
    /// Ids are given out from above `ids_above` on: nobody may take a new entry for one of an earlier store.
    OutboxTable(Database& database, std::int64_t ids_above) : database_{database}, highest_id_{ids_above} {}

    [[nodiscard]] std::vector<OutboxEntry> due(Timestamp now, std::size_t limit) const override;
    [[nodiscard]] std::uint64_t entered() const override { return entered_; }
    [[nodiscard]] std::size_t pending() const override;
    void add(const annunciation::Notice& notice) override;
    void delivered(std::int64_t id, Timestamp at) override;
    void deferred(std::int64_t id, Timestamp next_try, unsigned attempts, const std::string& why) override;
    void expired(std::int64_t id, Timestamp at, const std::string& why) override;
    /// No id has been given out above this one.
    [[nodiscard]] std::int64_t highest_id() const { return highest_id_; }

private:
    Database& database_;
    mutable std::int64_t highest_id_;
    std::uint64_t entered_ = 0;
};

}  // namespace gyled::storage
