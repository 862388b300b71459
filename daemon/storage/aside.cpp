#include "daemon/storage/aside.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <filesystem>

#include "daemon/storage/error.hpp"

namespace gyled::storage {
namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 3> endings{"", "-wal", "-shm"};

bool exists(const std::string& path) {
    std::error_code ignored;
    return fs::exists(path, ignored);
}

/// RFC 3339 without what a shell or another file system would stumble over.
std::string date(base::Timestamp now) {
    std::string text = base::to_rfc3339(std::chrono::floor<std::chrono::seconds>(now));
    std::ranges::replace(text, ':', '-');
    return text;
}

bool is_taken(const std::string& name) {
    return std::ranges::any_of(endings, [&](const char* ending) { return exists(name + ending); });
}

}  // namespace

Place look_at(const std::string& path) {
    std::error_code error;
    const auto size = fs::file_size(path, error);
    return {.has_file = exists(path),
            .has_content = !error && size > 0,
            .has_log = exists(path + "-wal") || exists(path + "-shm")};
}

std::string put_aside(const std::string& path, std::string_view word, base::Timestamp now) {
    const std::string name = path + '.' + std::string{word} + '-' + date(now);
    std::string free = name;
    for (int n = 2; is_taken(free); ++n) free = name + '-' + std::to_string(n);
    // the log first: a file without its log is worth more than a new file beside a foreign log
    for (const char* ending : {"-wal", "-shm", ""}) {
        if (!exists(path + ending)) continue;
        std::error_code error;
        fs::rename(path + ending, free + ending, error);
        if (error)
            throw StorageError{StorageError::Kind::cannot_open, path,
                               path + ending + ": cannot be put aside: " + error.message()};
    }
    return free;
}

}  // namespace gyled::storage
