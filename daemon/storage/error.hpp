#pragma once
/// What can go wrong with the file, in words for the person who has to mend it.

#include <stdexcept>
#include <string>

namespace gyled::storage {

/// Thrown by everything in storage/. `what()` names the file, what we tried, SQLite's own words and a remedy,
/// as in
/// "/var/lib/gyled/gyled.db: cannot open the store: unable to open database file; does the folder exist, and
/// ..."
class StorageError : public std::runtime_error {
public:
    enum class Kind {
        cannot_open,   ///< no such folder, no permission
        newer_schema,  ///< written by a later gyled: we must not touch it
        foreign,       ///< an SQLite file of somebody else's: not ours to touch
        damaged,       ///< not a database, or its pages are torn
        full,          ///< no space left on the device
        read_only,     ///< the file or the file system does not let us write
        busy,          ///< somebody else held the lock for longer than we wait
        other,
    };
    StorageError(Kind kind, std::string path, const std::string& text)
        : std::runtime_error{text}, kind_{kind}, path_{std::move(path)} {}
    [[nodiscard]] Kind kind() const { return kind_; }
    [[nodiscard]] const std::string& path() const { return path_; }

private:
    Kind kind_;
    std::string path_;
};

}  // namespace gyled::storage
