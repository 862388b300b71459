#pragma once
/// A wall clock for the daemon alone, set as a test likes (libfaketime); its steady clock goes on as it is.
/// Sensors, broker and phone keep the right time.

#include <chrono>
#include <string>
#include <vector>

namespace gyled::integration {

class FakeWall {
public:
    /// `file` says to libfaketime what the clock shows. Throws std::runtime_error when that is not installed.
    explicit FakeWall(std::string file);

    /// From now on the daemon's wall clock is so far ahead of ours.
    void set_ahead(std::chrono::seconds by) const;
    /// From now on it shows the beginning of 1970, as a machine does that has no battery.
    void set_to_1970() const;
    /// What runs the daemon so, and confined like the service: it may not ask whether its clock is
    /// synchronised.
    [[nodiscard]] std::vector<std::string> wrapper() const;

private:
    std::string file_, library_;
};

}  // namespace gyled::integration
