#include "daemon/notify/courier.hpp"

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <thread>

namespace gyled::notify {

/// One messenger, its queue and its thread.
class Courier::Line {
public:
    Line(std::unique_ptr<Messenger> messenger, const Courier& courier, const Options& options,
         std::uint64_t seed)
        : courier_{courier},
          messenger_{std::move(messenger)},
          queue_{options.back_off, seed},
          thread_{[this] { run(); }} {}

    ~Line() { stop(); }
    Line(const Line&) = delete;
    Line& operator=(const Line&) = delete;

    bool offer(QueuedNotice notice) {
        const std::scoped_lock lock{mutex_};
        if (stopping_ || !queue_.offer(std::move(notice), courier_.now_())) return false;
        changed_.notify_all();
        return true;
    }

    /// Waits until nothing is due or under way, but not beyond `deadline`.
    void finish_what_is_due(std::chrono::steady_clock::time_point deadline) {
        std::unique_lock lock{mutex_};
        changed_.wait_until(lock, deadline, [this] {
            const auto due = queue_.next_due();
            return !sending_ && (!due || *due > courier_.now_().steady);
        });
    }

    void stop() {
        {
            const std::scoped_lock lock{mutex_};
            stopping_ = true;
            changed_.notify_all();
        }
        messenger_->hang_up();
        if (thread_.joinable()) thread_.join();
    }

    std::size_t pending() const {
        const std::scoped_lock lock{mutex_};
        return queue_.size();
    }

private:
    void run() {
        std::unique_lock lock{mutex_};
        while (!stopping_) {
            if (const auto queued = queue_.take(courier_.now_().steady))
                send(queued->notice, lock);
            else
                wait(lock);
        }
    }

    void send(const annunciation::Notice& notice, std::unique_lock<std::mutex>& lock) {
        sending_ = true;
        lock.unlock();
        const Delivery delivery = messenger_->send(notice);
        lock.lock();
        const DeliveryReport report = queue_.settle(delivery, courier_.now_());
        // Hung up on: what looks like a failure says nothing about the receiver. The outbox keeps the notice
        // as it was.
        const bool tells = !stopping_ || delivery.accepted;
        lock.unlock();
        if (tells) courier_.on_report_(report);
        lock.lock();
        sending_ = false;
        changed_.notify_all();
    }

    void wait(std::unique_lock<std::mutex>& lock) {
        if (const auto due = queue_.next_due())
            changed_.wait_for(lock, std::max(*due - courier_.now_().steady, Duration{1}));
        else
            changed_.wait(lock);
    }

    const Courier& courier_;
    std::unique_ptr<Messenger> messenger_;
    mutable std::mutex mutex_;
    std::condition_variable changed_;
    DeliveryQueue queue_;
    bool stopping_ = false;
    bool sending_ = false;
    std::thread thread_;  // last: starts when all else stands
};

Courier::Courier(Messengers messengers, OnReport on_report, Options options)
    : on_report_{std::move(on_report)}, now_{std::move(options.now)} {
    if (!now_) now_ = system_moment;
    std::uint64_t seed = options.seed;
    for (auto& [name, messenger] : messengers)
        if (messenger)
            lines_.emplace(name, std::make_unique<Line>(std::move(messenger), *this, options, seed++));
}

Courier::Courier(Messengers messengers, OnReport on_report)
    : Courier{std::move(messengers), std::move(on_report), Options{}} {}

Courier::~Courier() {
    stop(Duration::zero());
}

bool Courier::offer(QueuedNotice notice) {
    const auto line = lines_.find(notice.messenger);
    if (line != lines_.end()) return line->second->offer(std::move(notice));
    on_report_({.kind = DeliveryReport::Kind::expired,
                .id = notice.id,
                .notice = notice.notice.id,
                .messenger = notice.messenger,
                .attempts = notice.attempts,
                .at = now_().wall,
                .next_try = {},
                .words = "there is no messenger '" + notice.messenger + "'"});
    return false;
}

void Courier::stop(Duration patience) {
    const auto deadline = std::chrono::steady_clock::now() + patience;
    for (const auto& [name, line] : lines_) line->finish_what_is_due(deadline);
    for (const auto& [name, line] : lines_) line->stop();
}

std::size_t Courier::pending() const {
    std::size_t sum = 0;
    for (const auto& [name, line] : lines_) sum += line->pending();
    return sum;
}

Moment system_moment() {
    return {std::chrono::time_point_cast<Duration>(std::chrono::steady_clock::now()),
            std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now())};
}

}  // namespace gyled::notify
