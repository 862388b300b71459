#pragma once
/// Putting a store's files aside: renamed under the date, never deleted, for they may be all that the person
/// has.

#include <string>
#include <string_view>

#include "daemon/base/time.hpp"

namespace gyled::storage {

/// What stands at a store's place: the file itself and the log that SQLite keeps beside it.
struct Place {
    bool has_file = false;     ///< the file is there, however short
    bool has_content = false;  ///< it has at least one byte
    bool has_log = false;      ///< -wal or -shm is there: a store was open here
};
[[nodiscard]] Place look_at(const std::string& path);

/// Renames `path` and what stands beside it (-wal, -shm) to <path>.<word>-2026-11-26T02-31-00Z[-wal|-shm], or
/// with -2, -3 ... behind the date when that name is taken. Returns the new name. What is not there is passed
/// over. Throws StorageError (cannot_open) when a file cannot be renamed.
std::string put_aside(const std::string& path, std::string_view word, base::Timestamp now);

}  // namespace gyled::storage
