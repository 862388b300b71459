#pragma once
/// Sees the grain meet the liquor: hot liquor drops by some degrees within minutes, and stays there.

#include <deque>
#include <optional>

#include "daemon/base/time.hpp"

namespace gyled::estimation::trend {

/// Copyable; single-threaded. Bounded: some 2 kB. The readings of the last minutes bring it back after a
/// restart.
class DoughInWatch {
public:
    /// In event-time order; older readings than the newest, and what is not finite, are ignored.
    void add(base::Timestamp at, double celsius);
    /// The clock was set by so much: what was seen keeps its age.
    void shift(base::Duration by);

    struct DoughIn {
        base::Timestamp at;   ///< of the newest reading, which settles it
        double liquor_c = 0;  ///< degC before
        double mash_c = 0;    ///< degC now; it may fall a little more
    };
    /// Nothing while the temperature does not lie where grain would have brought it. A probe that is lifted
    /// out looks colder than any mash, and cold liquor that is added looks alike: ask only when grain is due.
    [[nodiscard]] std::optional<DoughIn> seen() const;

private:
    struct Point {
        base::Timestamp at;
        double celsius;
    };
    std::deque<Point> points_;  ///< of the last minutes, thinned
};

}  // namespace gyled::estimation::trend
