#include "tests/support/power_cut_disk.hpp"

#include <sqlite3.h>

#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace gyled::testing {
namespace {

constexpr std::size_t sector = 512;
constexpr const char* disk_name = "power-cut-disk";

/// A write, or a cut in length when `bytes` is nothing.
struct Change {
    std::size_t place = 0;
    std::optional<std::string> bytes;
};

struct Content {
    std::string synced;
    std::vector<Change> pending;
};

void apply_write(std::string& content, std::size_t place, std::string_view bytes) {
    if (content.size() < place + bytes.size()) content.resize(place + bytes.size());
    content.replace(place, bytes.size(), bytes);
}

void apply(std::string& content, const Change& change) {
    if (change.bytes)
        apply_write(content, change.place, *change.bytes);
    else
        content.resize(change.place);
}

/// As much of it as reached the disk.
void apply_torn(std::string& content, const Change& change, std::mt19937& dice, double survival) {
    std::bernoulli_distribution survives{survival};
    if (!change.bytes) {
        if (survives(dice)) content.resize(change.place);
        return;
    }
    for (std::size_t from = 0; from < change.bytes->size();) {
        const std::size_t to = std::min(change.bytes->size(), from + sector - (change.place + from) % sector);
        if (survives(dice))
            apply_write(content, change.place + from,
                        std::string_view{*change.bytes}.substr(from, to - from));
        from = to;
    }
}

}  // namespace

struct PowerCutDisk::Account {
    std::map<std::string, Content> files;
    std::uint64_t changes = 0, syncs = 0;
    sqlite3_vfs disk{};
};

namespace {

PowerCutDisk* the_disk = nullptr;
std::map<std::string, Content>* the_files = nullptr;
std::uint64_t *the_changes = nullptr, *the_syncs = nullptr;
sqlite3_vfs* real = nullptr;

/// One open file: the real one lies behind it in memory.
struct Open {
    sqlite3_file base;
    Content* content;  ///< nothing for a file without a name
    [[nodiscard]] sqlite3_file* under() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};
Open& open_file(sqlite3_file* file) {
    return *reinterpret_cast<Open*>(file);
}
sqlite3_file* under(sqlite3_file* file) {
    return open_file(file).under();
}

void note_change(sqlite3_file* file, Change change) {
    if (the_disk->before_change) the_disk->before_change();
    ++*the_changes;
    if (Content* content = open_file(file).content) content->pending.push_back(std::move(change));
}

int close_file(sqlite3_file* file) {
    return under(file)->pMethods->xClose(under(file));
}
int read_file(sqlite3_file* file, void* into, int count, sqlite3_int64 place) {
    return under(file)->pMethods->xRead(under(file), into, count, place);
}
int write_file(sqlite3_file* file, const void* from, int count, sqlite3_int64 place) {
    note_change(file, {static_cast<std::size_t>(place),
                       std::string{static_cast<const char*>(from), static_cast<std::size_t>(count)}});
    return under(file)->pMethods->xWrite(under(file), from, count, place);
}
int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
    note_change(file, {static_cast<std::size_t>(size), std::nullopt});
    return under(file)->pMethods->xTruncate(under(file), size);
}
int sync_file(sqlite3_file* file, int) {
    if (the_disk->before_change) the_disk->before_change();
    ++*the_changes;
    ++*the_syncs;
    if (Content* content = open_file(file).content) {
        for (const Change& change : content->pending) apply(content->synced, change);
        content->pending.clear();
    }
    return SQLITE_OK;  // the real disk need not be troubled
}
int size_of_file(sqlite3_file* file, sqlite3_int64* size) {
    return under(file)->pMethods->xFileSize(under(file), size);
}
int lock_file(sqlite3_file* file, int level) {
    return under(file)->pMethods->xLock(under(file), level);
}
int unlock_file(sqlite3_file* file, int level) {
    return under(file)->pMethods->xUnlock(under(file), level);
}
int is_reserved(sqlite3_file* file, int* is) {
    return under(file)->pMethods->xCheckReservedLock(under(file), is);
}
int control_file(sqlite3_file* file, int what, void* argument) {
    return under(file)->pMethods->xFileControl(under(file), what, argument);
}
int sector_size(sqlite3_file*) {
    return sector;
}
int characteristics(sqlite3_file*) {
    return 0;  // a plain disk: no write is atomic, no order is kept
}
int map_shared(sqlite3_file* file, int page, int size, int extend, void volatile** into) {
    return under(file)->pMethods->xShmMap(under(file), page, size, extend, into);
}
int lock_shared(sqlite3_file* file, int offset, int count, int flags) {
    return under(file)->pMethods->xShmLock(under(file), offset, count, flags);
}
void barrier(sqlite3_file* file) {
    under(file)->pMethods->xShmBarrier(under(file));
}
int unmap_shared(sqlite3_file* file, int remove) {
    return under(file)->pMethods->xShmUnmap(under(file), remove);
}

constexpr sqlite3_io_methods methods{.iVersion = 2,
                                     .xClose = close_file,
                                     .xRead = read_file,
                                     .xWrite = write_file,
                                     .xTruncate = truncate_file,
                                     .xSync = sync_file,
                                     .xFileSize = size_of_file,
                                     .xLock = lock_file,
                                     .xUnlock = unlock_file,
                                     .xCheckReservedLock = is_reserved,
                                     .xFileControl = control_file,
                                     .xSectorSize = sector_size,
                                     .xDeviceCharacteristics = characteristics,
                                     .xShmMap = map_shared,
                                     .xShmLock = lock_shared,
                                     .xShmBarrier = barrier,
                                     .xShmUnmap = unmap_shared,
                                     .xFetch = nullptr,
                                     .xUnfetch = nullptr};

std::string bytes_of(const std::string& path) {
    std::ifstream in{path, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

int open_on_disk(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* flags_out) {
    Open& opened = open_file(file);
    opened.base.pMethods = nullptr;
    opened.content = nullptr;
    const int code = real->xOpen(real, name, opened.under(), flags, flags_out);
    if (code != SQLITE_OK) return code;
    opened.base.pMethods = &methods;
    if (name == nullptr) return code;
    const auto [found, is_new] = the_files->try_emplace(name);
    if (is_new) found->second.synced = bytes_of(name);
    opened.content = &found->second;
    return code;
}

int remove_from_disk(sqlite3_vfs*, const char* name, int sync) {
    the_files->erase(name);
    return real->xDelete(real, name, sync);
}

}  // namespace

PowerCutDisk::PowerCutDisk() : account_{std::make_unique<Account>()} {
    real = sqlite3_vfs_find(nullptr);
    the_disk = this;
    the_files = &account_->files;
    the_changes = &account_->changes;
    the_syncs = &account_->syncs;
    account_->disk = *real;
    account_->disk.szOsFile = static_cast<int>(sizeof(Open)) + real->szOsFile;
    account_->disk.zName = disk_name;
    account_->disk.pNext = nullptr;
    account_->disk.xOpen = open_on_disk;
    account_->disk.xDelete = remove_from_disk;
    sqlite3_vfs_register(&account_->disk, 1);
}

PowerCutDisk::~PowerCutDisk() {
    sqlite3_vfs_unregister(&account_->disk);
    sqlite3_vfs_register(real, 1);
}

std::uint64_t PowerCutDisk::changes() const {
    return account_->changes;
}
std::uint64_t PowerCutDisk::syncs() const {
    return account_->syncs;
}

void PowerCutDisk::cut_into(const std::filesystem::path& folder, std::mt19937& dice, double survival) const {
    for (const auto& [name, content] : account_->files) {
        std::string left = content.synced;
        for (const Change& change : content.pending) apply_torn(left, change, dice, survival);
        std::ofstream{folder / std::filesystem::path{name}.filename(), std::ios::binary} << left;
    }
}

}  // namespace gyled::testing
