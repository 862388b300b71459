#pragma once
/// Carries notices to the messengers, each on a thread of its own, so that one receiver out of reach delays
/// no other.

#include <functional>
#include <map>
#include <memory>
#include <string>

#include "daemon/notify/delivery_queue.hpp"

namespace gyled::notify {

/// The courier never touches the outbox: the main loop offers what the outbox holds, and gets a report for
/// each attempt to write down. At the start offer *everything* that is pending, oldest first, whenever its
/// next try: order can only be kept among what the courier knows. From then on the courier itself tries
/// again; a notice leaves it as `delivered` or `expired`. What was not settled when the courier stops is
/// simply still pending in the outbox.
class Courier {
public:
    using Messengers = std::map<std::string, std::unique_ptr<Messenger>>;
    /// Called on a messenger's thread, or within `offer`; must be quick and not throw: post it to the main
    /// loop.
    using OnReport = std::function<void(const DeliveryReport&)>;
    struct Options {
        BackOff back_off{};
        std::uint64_t seed = 1;         ///< of the jitter
        std::function<Moment()> now{};  ///< empty: the system's clocks
    };

    Courier(Messengers messengers, OnReport on_report, Options options);
    Courier(Messengers messengers, OnReport on_report);
    ~Courier();  ///< stops at once
    Courier(const Courier&) = delete;
    Courier& operator=(const Courier&) = delete;

    /// Thread: any. A notice that the messenger's queue has, or had, is not taken twice (false). One for a
    /// messenger that does not exist expires at once.
    bool offer(QueuedNotice notice);
    /// Delivers what is due within `patience`, then hangs up and joins. No report comes after it returns.
    void stop(Duration patience);
    /// Notices neither delivered nor expired. Thread: any.
    [[nodiscard]] std::size_t pending() const;

private:
    class Line;
    OnReport on_report_;
    std::function<Moment()> now_;
    std::map<std::string, std::unique_ptr<Line>> lines_;
};

/// The present, as the system's clocks tell it. Thread: any.
[[nodiscard]] Moment system_moment();

}  // namespace gyled::notify
