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
    /// How far a stamp may run ahead of the clock: 110,000 messages of one subscription in one go, below the
    /// two minutes at which a time is taken for one of another clock. Who has more must wait for the clock.
    static constexpr base::Duration ahead_max = std::chrono::seconds{110};
    /// A clock that is so far behind its last word was set back; below that it was put right a little.
    static constexpr base::Duration set_back_min = std::chrono::seconds{10};

    /// Of the subscriptions: what one sensor hears comes by one of them, whatever its topics.
    /// `last`: the latest stamp that an earlier run gave.
    explicit Arrivals(const std::vector<std::string>& filters, std::optional<base::Timestamp> last = {});

    /// `now`, or the next free millisecond behind the last message of the same subscription. It may lie
    /// further ahead than `ahead_max`. A clock that is set back begins anew.
    [[nodiscard]] base::Timestamp stamp(const std::string& topic, base::Timestamp now);

private:
    struct Subscription {
        std::string filter;
        std::optional<base::Timestamp> last;
    };
    void look_at_the_clock(base::Timestamp now);

    std::vector<Subscription> subscriptions_;
    std::optional<base::Timestamp> now_last_;
};

}  // namespace gyled::mqtt
