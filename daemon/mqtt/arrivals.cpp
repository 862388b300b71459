#include "daemon/mqtt/arrivals.hpp"

#include "sensors/topic.hpp"

namespace gyled::mqtt {

using base::Timestamp;
using namespace std::chrono_literals;

Arrivals::Arrivals(const std::vector<std::string>& filters, std::optional<Timestamp> last) {
    for (const std::string& filter : filters) subscriptions_.push_back({filter, last});
}

/// What an earlier run gave out far beyond our time was given out by a clock that was set back since, too.
void Arrivals::look_at_the_clock(Timestamp now) {
    for (Subscription& each : subscriptions_)
        if (now_last_ ? now < *now_last_ - set_back_min : each.last && *each.last - now > ahead_max)
            each.last.reset();
    now_last_ = now;
}

Timestamp Arrivals::stamp(const std::string& topic, Timestamp now) {
    look_at_the_clock(now);
    Timestamp stamp = now;
    std::vector<Subscription*> heard_by;
    for (Subscription& each : subscriptions_) {
        if (!sensors::topic_matches(each.filter, topic)) continue;
        heard_by.push_back(&each);
        if (each.last && *each.last >= stamp) stamp = *each.last + 1ms;
    }
    for (Subscription* each : heard_by) each->last = stamp;
    return stamp;
}

}  // namespace gyled::mqtt
