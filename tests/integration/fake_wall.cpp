#include "tests/integration/fake_wall.hpp"

#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <utility>

namespace gyled::integration {
namespace {

/// Debian keeps it in the folder of the machine's kind.
std::string library() {
    for (const auto& folder : std::filesystem::directory_iterator{"/usr/lib"})
        if (const auto file = folder.path() / "faketime/libfaketimeMT.so.1"; std::filesystem::exists(file))
            return file;
    throw std::runtime_error("libfaketime is not installed (Debian: faketime)");
}

}  // namespace

FakeWall::FakeWall(std::string file) : file_{std::move(file)}, library_{library()} {
    set_ahead({});
}

/// Never read half-written.
void FakeWall::set_ahead(std::chrono::seconds by) const {
    std::ofstream{file_ + ".new"} << std::showpos << by.count() << '\n';
    std::filesystem::rename(file_ + ".new", file_);
}

void FakeWall::set_to_1970() const {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    set_ahead(-std::chrono::duration_cast<std::chrono::seconds>(now) + std::chrono::seconds{30});
}

std::vector<std::string> FakeWall::wrapper() const {
    return {CONFINED,
            "/usr/bin/env",
            "LD_PRELOAD=" + library_,
            "FAKETIME_TIMESTAMP_FILE=" + file_,
            "FAKETIME_NO_CACHE=1",
            "FAKETIME_DONT_FAKE_MONOTONIC=1",
            "NO_FAKE_STAT=1"};
}

}  // namespace gyled::integration
