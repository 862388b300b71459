#pragma once
/// A disk under SQLite that can lose its power: what was written since a file was last synced may then be
/// there or not, sector by sector.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <random>

namespace gyled::testing {

/// While it lives, it is what SQLite opens files on by default; one at a time. Files are ordinary files
/// besides, in place and whole; the disk keeps its own account of what a power cut would leave. It believes
/// that a file's name is there as soon as it has been made, and that a sync does what it says. Thread: one.
class PowerCutDisk {
public:
    PowerCutDisk();
    ~PowerCutDisk();
    PowerCutDisk(const PowerCutDisk&) = delete;
    PowerCutDisk& operator=(const PowerCutDisk&) = delete;

    /// Called before each write, cut in length and sync; a power cut may come here.
    std::function<void()> before_change;
    [[nodiscard]] std::uint64_t changes() const;
    [[nodiscard]] std::uint64_t syncs() const;
    /// What a power cut at this moment would leave of all files, written into `folder`. Each 512-byte sector
    /// of each unsynced write has reached the disk with the probability `survival`.
    void cut_into(const std::filesystem::path& folder, std::mt19937& dice, double survival) const;

private:
    struct Account;
    std::unique_ptr<Account> account_;
};

}  // namespace gyled::testing
