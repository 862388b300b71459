#include "daemon/storage/file_watch.hpp"

#include <sys/stat.h>

namespace gyled::storage {
namespace {

bool same(const std::timespec& a, const std::timespec& b) {
    return a.tv_sec == b.tv_sec && a.tv_nsec == b.tv_nsec;
}

}  // namespace

std::optional<FileWatch::Look> FileWatch::look() const {
    struct stat found {};
    if (::stat(database_.path().c_str(), &found) != 0) return std::nullopt;
    return Look{found.st_size, found.st_mtim, database_.has_head()};
}

void FileWatch::remember() {
    last_ = look();
}

std::optional<FileTrouble> FileWatch::trouble() const {
    const auto now = look();
    if (!now) return FileTrouble::gone;
    if (database_.has_moved()) return FileTrouble::replaced;
    if (!last_) return std::nullopt;
    if (now->size < last_->size) return FileTrouble::truncated;
    if (last_->has_head && !now->has_head) return FileTrouble::overwritten;
    if (!same(now->written, last_->written)) return FileTrouble::touched;
    return std::nullopt;
}

}  // namespace gyled::storage
