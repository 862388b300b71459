#include "tests/support/faulty_store.hpp"

namespace gyled::testing {

using storage::StorageError;

namespace {

[[noreturn]] void fail(const storage::Queries& store, StorageError::Kind kind, const std::string& why) {
    throw StorageError{kind, store.path(), store.path() + ": " + why};
}

}  // namespace

void FaultyStore::refuse_when_full() const {
    if (is_full) fail(store_, StorageError::Kind::full, "no space is left on the device");
}
void FaultyStore::refuse_in_outbox() const {
    refuse_when_full();
    if (fails_in_outbox) fail(store_, StorageError::Kind::busy, "somebody else holds the lock");
}

std::size_t FaultyStore::write(const cellar::Commit& group) {
    ++writes_tried;
    if (slow) slow();
    refuse_when_full();
    if (fail_writes > 0) {
        --fail_writes;
        fail(store_, StorageError::Kind::busy, "somebody else holds the lock");
    }
    const std::size_t fresh = store_.write(group);
    ++writes_done;
    return fresh;
}

void FaultyStore::describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                           const std::string& site) {
    refuse_when_full();
    store_.describe(vessels, display, site);
}
void FaultyStore::remember(const std::string& key, const std::string& value) {
    refuse_when_full();
    store_.remember(key, value);
}
std::size_t FaultyStore::prune(base::Timestamp before, std::size_t rows) {
    refuse_when_full();
    return store_.prune(before, rows);
}
void FaultyStore::checkpoint() {
    refuse_when_full();
    store_.checkpoint();
}
void FaultyStore::close() {
    is_closed = true;
    store_.close();
}

std::vector<storage::OutboxEntry> FaultyStore::due(base::Timestamp now, std::size_t limit) const {
    ++due_asked;
    return store_.outbox().due(now, limit);
}
void FaultyStore::add(const annunciation::Notice& notice) {
    refuse_in_outbox();
    store_.outbox().add(notice);
}
void FaultyStore::delivered(std::int64_t id, base::Timestamp at) {
    refuse_in_outbox();
    store_.outbox().delivered(id, at);
}
void FaultyStore::deferred(std::int64_t id, base::Timestamp next_try, unsigned attempts,
                           const std::string& why) {
    refuse_in_outbox();
    store_.outbox().deferred(id, next_try, attempts, why);
}
void FaultyStore::expired(std::int64_t id, base::Timestamp at, const std::string& why) {
    refuse_in_outbox();
    store_.outbox().expired(id, at, why);
}

}  // namespace gyled::testing
