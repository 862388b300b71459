#include "daemon/storage/keeper.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <utility>

#include "daemon/storage/aside.hpp"
#include "daemon/storage/file_watch.hpp"

namespace gyled::storage {
namespace {

using base::Duration;
using base::Timestamp;
using Kind = StorageError::Kind;

const std::string newer = "newer";  // the word for a file that a later gyled wrote

bool is_due(std::optional<Timestamp> last, Duration every, Timestamp now) {
    return !last || now < *last || now - *last >= every;
}

/// The word in the name of a file that is put aside, by what happened to it.
std::string word_for(FileTrouble trouble) {
    return trouble == FileTrouble::replaced ? "replaced" : "damaged";
}

std::string words_for(FileTrouble trouble) {
    switch (trouble) {
        case FileTrouble::gone:
            return "the file was deleted while gyled held it";
        case FileTrouble::replaced:
            return "another file was put in its place while gyled held it";
        case FileTrouble::truncated:
            return "the file was cut short while gyled held it";
        case FileTrouble::overwritten:
        case FileTrouble::touched:
            break;
    }
    return "the file was overwritten while gyled held it";
}

}  // namespace

Keeper::Keeper(Opening opening, Timestamp now, KeeperParameters parameters)
    : opening_{std::move(opening)}, parameters_{parameters} {
    open(now);
}
Keeper::~Keeper() = default;

// ---- the store, or why there is none

Store& Keeper::store() const {
    if (store_) return *store_;
    throw StorageError{Kind::cannot_open, opening_.path, problem_};
}

const Queries& Keeper::queries() const {
    return store_ ? static_cast<const Queries&>(*store_) : reader();
}

/// Of a disk that takes nothing: beside others, or else alone. The words stay those for why it cannot be
/// written.
const ReadStore& Keeper::reader() const {
    for (const ReadStore::Beside beside : {ReadStore::Beside::others, ReadStore::Beside::alone}) try {
            if (!reader_) reader_ = std::make_unique<ReadStore>(opening_.path, beside);
        } catch (const StorageError&) {
            continue;
        }
    if (reader_) return *reader_;
    throw StorageError{Kind::cannot_open, opening_.path, problem_};
}

/// Damage is noted, whoever comes upon it.
template <class Work>
auto Keeper::with_store(Work work) const {
    try {
        return work(store());
    } catch (const StorageError& error) {
        if (store_ && error.kind() == Kind::damaged) damage_ = error.what();
        throw;
    }
}

void Keeper::fail(const StorageError& error) {
    problem_ = error.what();
}

void Keeper::tell(Timestamp now, std::string words) {
    renewals_.push_back({now, std::move(words)});
}

// ---- opening

void Keeper::open(Timestamp now) {
    last_try_ = now;
    reader_.reset();  // it would stand in the way
    try {
        open_file(now);
    } catch (const StorageError& error) {
        fail(error);
    }
}

void Keeper::open_file(Timestamp now) {
    if (departed_) return follow(now);
    const Place place = look_at(opening_.path);
    if (!place.has_content && place.has_log)
        return renew(
            "damaged",
            place.has_file ? "the file had no content any more" : "the file was gone, its log left behind",
            now);
    try {
        take_over(std::make_unique<Store>(opening_), now);
    } catch (const StorageError& error) {
        if (error.path() != opening_.path) throw;
        if (error.kind() == Kind::damaged) return renew("damaged", error.what(), now);
        if (error.kind() == Kind::newer_schema) return renew(newer, error.what(), now);
        throw;
    }
}

void Keeper::take_over(std::unique_ptr<Store> store, Timestamp now) {
    for (std::string& words : store->set_aside_unreadable(now))
        tell(now, opening_.path + ": " + std::move(words));
    store_ = std::move(store);
    problem_.clear();
    damage_.clear();
    last_look_ = now;
    ++generation_;
    ++entered_before_;  // so that what pends is asked for again
    is_described_ = false;
    describe_again();
}

void Keeper::describe_again() {
    if (is_described_ || !store_ || !description_) return;
    try {
        description_(*store_);
        is_described_ = true;
    } catch (const StorageError&) {
        // only dashboards need it; the commits tell what is wrong
    }
}

// ---- another file in the place of one that cannot be used

void Keeper::let_go() {
    if (!store_) return;
    entered_before_ += store_->outbox().entered();
    opening_.outbox_ids_above = store_->highest_outbox_id();
    store_->abandon();
    store_.reset();
}

void Keeper::renew(const std::string& word, const std::string& why, Timestamp now) {
    let_go();
    departed_ = Departed{put_aside(opening_.path, word, now), why, word != newer};
    follow(now);
}

void Keeper::follow(Timestamp now) {
    auto fresh = std::make_unique<Store>(opening_);
    const std::string recovered = departed_->is_readable
                                      ? fresh->recover_from(departed_->aside, parameters_.recovery_at_most)
                                      : "nothing was taken over, for only the newer gyled understands it";
    take_over(std::move(fresh), now);
    tell(now, fmt::format("{}. It was put aside as {}; a fresh store is in use: {}", departed_->why,
                          departed_->aside, recovered));
    departed_.reset();
}

/// What we hold is whole, but has no name any more: it is copied before it goes.
void Keeper::renew_from_living(const std::string& word, const std::string& why, Timestamp now) {
    const std::string rescued = opening_.path + ".rescued";
    try {
        store_->backup_to(rescued);
    } catch (const StorageError&) {
        return renew(word, why, now);
    }
    let_go();
    // the log is that of the file which has gone, and would spoil the one that stands there
    for (const char* ending : {"-wal", "-shm"}) put_aside(opening_.path + ending, word, now);
    const bool is_left = look_at(opening_.path).has_file;
    const std::string aside = put_aside(opening_.path, word, now);
    std::error_code error;
    std::filesystem::rename(rescued, opening_.path, error);
    if (error) throw StorageError{Kind::cannot_open, opening_.path, rescued + ": " + error.message()};
    take_over(std::make_unique<Store>(opening_), now);
    tell(now, fmt::format("{}: {}. {}All that gyled knew was written to it anew", opening_.path, why,
                          is_left ? "What stood there was put aside as " + aside + ". " : std::string{}));
}

void Keeper::look(Timestamp now) {
    last_look_ = now;
    const auto trouble = store_->trouble();
    if (!trouble) return;
    const std::string why = words_for(*trouble);
    if (*trouble == FileTrouble::gone || *trouble == FileTrouble::replaced)
        renew_from_living(word_for(*trouble), why, now);
    else
        renew(word_for(*trouble), opening_.path + ": " + why, now);
}

void Keeper::round(Timestamp now) {
    reader_.reset();
    std::erase_if(renewals_,
                  [&](const Renewal& past) { return now > past.at && now - past.at > parameters_.told_for; });
    try {
        if (store_ && !damage_.empty())
            renew("damaged", std::exchange(damage_, {}), now);
        else if (store_ && is_due(last_look_, parameters_.look_every, now))
            look(now);
        else if (!store_ && is_due(last_try_, parameters_.retry_every, now))
            open(now);
    } catch (const StorageError& error) {
        fail(error);
    }
    describe_again();
}

// ---- what is passed on

std::size_t Keeper::write(const Commit& group) {
    return with_store([&](Store& store) { return store.write(group); });
}
std::vector<std::string> Keeper::take_refusals() {
    return store_ ? store_->take_refusals() : std::vector<std::string>{};
}
void Keeper::describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                      const std::string& site) {
    description_ = [=](Store& store) { store.describe(vessels, display, site); };
    is_described_ = false;
    describe_again();
}
void Keeper::remember(const std::string& key, const std::string& value) {
    with_store([&](Store& store) { store.remember(key, value); });
}
std::size_t Keeper::prune(Timestamp before, std::size_t rows) {
    return with_store([&](Store& store) { return store.prune(before, rows); });
}
void Keeper::checkpoint() {
    with_store([](Store& store) { store.checkpoint(); });
}
void Keeper::close() {
    if (store_) store_->close();
}

std::vector<OutboxEntry> Keeper::due(Timestamp now, std::size_t limit) const {
    return with_store([&](Store& store) { return store.outbox().due(now, limit); });
}
std::uint64_t Keeper::entered() const {
    return entered_before_ + (store_ ? store_->outbox().entered() : 0);
}
std::size_t Keeper::pending() const try {
    return store_ ? with_store([](Store& store) { return store.outbox().pending(); }) : 0;
} catch (const StorageError&) {
    return 0;
}
void Keeper::add(const annunciation::Notice& notice) {
    with_store([&](Store& store) { store.outbox().add(notice); });
}
void Keeper::delivered(std::int64_t id, Timestamp at) {
    with_store([&](Store& store) { store.outbox().delivered(id, at); });
}
void Keeper::deferred(std::int64_t id, Timestamp next_try, unsigned attempts, const std::string& why) {
    with_store([&](Store& store) { store.outbox().deferred(id, next_try, attempts, why); });
}
void Keeper::expired(std::int64_t id, Timestamp at, const std::string& why) {
    with_store([&](Store& store) { store.outbox().expired(id, at, why); });
}

}  // namespace gyled::storage
