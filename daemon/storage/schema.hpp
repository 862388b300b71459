#pragma once
/// How the file is laid out, and how an older file is brought up to date. The SQL itself is in
/// version1.sql to version3.sql and views.sql.

#include <span>
#include <string_view>

#include "daemon/storage/database.hpp"

namespace gyled::storage {

/// One step from the version before to the next.
struct Migration {
    int to_version;
    std::string_view sql;
};

/// In order, the first makes version 1 out of an empty file.
[[nodiscard]] std::span<const Migration> migrations();
/// Brings the file to the last of `steps`, each step in a transaction of its own with its version; the views
/// are made anew with the last. An existing file is first copied to <path>.before-v<last>. Throws
/// StorageError for a file that is newer, that is not ours, or whose step failed: then it stands at the last
/// step that succeeded.
void bring_up_to_date(Database& database, std::span<const Migration> steps);
/// Throws, before anything is changed, when the file is newer than `steps` or is not ours. An empty one is
/// welcome.
void refuse_foreign(Database& database, std::span<const Migration> steps);
/// Throws unless the file is exactly of the version that this program reads.
void require_version(Database& database, std::span<const Migration> steps);

/// Stands in the file's header: "gyle".
inline constexpr int application_id = 0x67796c65;

}  // namespace gyled::storage
