#pragma once
/// Gives each message an arrival of its own. A reading without a time of its own is known by its sensor and
/// its arrival: two that arrive in one millisecond would be taken for one.

#include <optional>
#include <string>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::mqtt {

/// Thread: whoever puts messages in, one at a time.
class Arrivals {
public:
    /// How far a stamp may run ahead of the clock: a backlog of ten days of one sensor at a reading a minute.
    /// Further ahead means that the clock was set back, and then it is the clock that is right.
    static constexpr base::Duration ahead_max = std::chrono::seconds{15};

    /// Of the subscriptions: what one sensor hears comes by one of them, whatever its topics.
    /// `last`: the latest stamp that an earlier run gave.
    explicit Arrivals(const std::vector<std::string>& filters, std::optional<base::Timestamp> last = {});

    /// `now`, or the next free millisecond behind the last message of the same subscription.
    [[nodiscard]] base::Timestamp stamp(const std::string& topic, base::Timestamp now);

private:
    struct Subscription {
        std::string filter;
        std::optional<base::Timestamp> last;
    };
    std::vector<Subscription> subscriptions_;
};

}  // namespace gyled::mqtt
