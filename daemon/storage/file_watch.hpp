#pragma once
/// Has somebody deleted, replaced, cut or overwritten the file while we hold it? SQLite does not look: it
/// would go on writing into a file that nobody will ever read.

#include <cstdint>
#include <ctime>
#include <optional>
#include <string>

#include "daemon/storage/database.hpp"

namespace gyled::storage {

/// What happened to the file behind our back, in order of how it is found.
enum class FileTrouble {
    gone,         ///< nothing stands at its path
    replaced,     ///< another file does; what we hold is whole, but has no name any more
    truncated,    ///< shorter than it has been
    overwritten,  ///< its head is no longer that of a database
    touched,  ///< somebody else wrote to it: perhaps harmless (another program's checkpoint), so look closer
};

/// Looks at name, length, head and times of the file: two calls of the system, no reading of pages. Thread:
/// the writer's. The database outlives it.
class FileWatch {
public:
    explicit FileWatch(Database& database) : database_{database} { remember(); }

    [[nodiscard]] std::optional<FileTrouble> trouble() const;
    /// What the file is like now is our own doing: call it after writing, when there was no trouble before.
    void remember();

private:
    struct Look {
        std::int64_t size = 0;
        std::timespec written{};
        bool has_head = false;  ///< begins as a database does
    };
    [[nodiscard]] std::optional<Look> look() const;

    Database& database_;
    std::optional<Look> last_;
};

}  // namespace gyled::storage
