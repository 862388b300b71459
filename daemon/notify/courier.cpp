#include "daemon/notify/courier.hpp"

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <thread>

namespace gyled::notify {

/// One messenger, its bag and its thread.
class Courier::Round {
public:
    Round(std::unique_ptr<Messenger> messenger, const Courier& courier, const Options& options,
          std::uint64_t seed)
        : courier_{courier}, messenger_{std::move(messenger)}, bag_{options.back_off, seed}, thread_{[this] {
              walk();
          }} {}

    ~Round() { stop(); }
    Round(const Round&) = delete;
    Round& operator=(const Round&) = delete;

    bool offer(Parcel parcel) {
        const std::scoped_lock lock{mutex_};
        if (stopping_ || !bag_.offer(std::move(parcel))) return false;
        changed_.notify_all();
        return true;
    }

    /// Waits until nothing is due or under way, but not beyond `deadline`.
    void finish_what_is_due(std::chrono::steady_clock::time_point deadline) {
        std::unique_lock lock{mutex_};
        changed_.wait_until(lock, deadline, [this] {
            const auto due = bag_.next_due();
            return !sending_ && (!due || *due > courier_.now_());
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
        return bag_.size();
    }

private:
    void walk() {
        std::unique_lock lock{mutex_};
        while (!stopping_) {
            if (auto parcel = bag_.take(courier_.now_()))
                carry(*parcel, lock);
            else
                rest(lock);
        }
    }

    void carry(const Parcel& parcel, std::unique_lock<std::mutex>& lock) {
        sending_ = true;
        lock.unlock();
        const Delivery delivery = messenger_->send(parcel.notice);
        lock.lock();
        const DeliveryReport report = bag_.settle(delivery, courier_.now_());
        // Hung up on: what looks like a failure says nothing about the receiver. The outbox keeps the parcel
        // as it was.
        const bool tells = !stopping_ || delivery.outcome == Delivery::Outcome::accepted;
        lock.unlock();
        if (tells) courier_.on_report_(report);
        lock.lock();
        sending_ = false;
        changed_.notify_all();
    }

    void rest(std::unique_lock<std::mutex>& lock) {
        const auto due = bag_.next_due();
        if (!due) {
            changed_.wait(lock);
            return;
        }
        // At most a minute at a time: the clock of the wall may be set meanwhile.
        const Duration left = *due - courier_.now_();
        changed_.wait_for(lock, std::clamp<Duration>(left, Duration{1}, std::chrono::minutes{1}));
    }

    const Courier& courier_;
    std::unique_ptr<Messenger> messenger_;
    mutable std::mutex mutex_;
    std::condition_variable changed_;
    PostBag bag_;
    bool stopping_ = false;
    bool sending_ = false;
    std::thread thread_;  // last: starts when all else stands
};

Courier::Courier(Messengers messengers, OnReport on_report, Options options)
    : on_report_{std::move(on_report)}, now_{std::move(options.now)} {
    if (!now_) now_ = [] { return std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now()); };
    std::uint64_t seed = options.seed;
    for (auto& [name, messenger] : messengers)
        if (messenger)
            rounds_.emplace(name, std::make_unique<Round>(std::move(messenger), *this, options, seed++));
}

Courier::Courier(Messengers messengers, OnReport on_report)
    : Courier{std::move(messengers), std::move(on_report), Options{}} {}

Courier::~Courier() {
    stop(Duration::zero());
}

bool Courier::offer(Parcel parcel) {
    const auto round = rounds_.find(parcel.messenger);
    if (round != rounds_.end()) return round->second->offer(std::move(parcel));
    on_report_({.kind = DeliveryReport::Kind::gave_up,
                .id = parcel.id,
                .messenger = parcel.messenger,
                .attempts = parcel.attempts,
                .at = now_(),
                .next_try = {},
                .words = "there is no messenger '" + parcel.messenger + "'"});
    return false;
}

void Courier::stop(Duration patience) {
    const auto deadline = std::chrono::steady_clock::now() + patience;
    for (const auto& [name, round] : rounds_) round->finish_what_is_due(deadline);
    for (const auto& [name, round] : rounds_) round->stop();
}

std::size_t Courier::pending() const {
    std::size_t sum = 0;
    for (const auto& [name, round] : rounds_) sum += round->pending();
    return sum;
}

}  // namespace gyled::notify
