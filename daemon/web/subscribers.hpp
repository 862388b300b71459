#pragma once
/// The open event streams, and what each of them has not been told yet.

#include <boost/asio/steady_timer.hpp>
#include <cstddef>
#include <memory>
#include <set>
#include <string>
#include <vector>

namespace gyled::web {

/// One listener's letter box. The session empties it; whoever does not come to empty it is dropped.
class Subscriber {
public:
    static constexpr std::size_t letters_most = 256;

    explicit Subscriber(const boost::asio::any_io_executor& executor) : bell_{executor} {}

    /// Rings the bell. A letter that already waits is not put in twice: it says the same.
    void put(const std::string& letter);
    /// All letters in order; the box is empty afterwards.
    [[nodiscard]] std::string take();
    [[nodiscard]] bool is_empty() const { return letters_.empty(); }
    /// The box overflowed, or the server stops: the stream is to be closed.
    [[nodiscard]] bool is_dropped() const { return dropped_; }
    void drop();
    /// Wakes (by cancelling) whoever waits for a letter.
    [[nodiscard]] boost::asio::steady_timer& bell() { return bell_; }

private:
    std::vector<std::string> letters_;
    bool dropped_ = false;
    boost::asio::steady_timer bell_;
};

class Subscribers {
public:
    void tell(const std::string& letter);
    void drop_all();
    void add(Subscriber& subscriber) { all_.insert(&subscriber); }
    void remove(Subscriber& subscriber) { all_.erase(&subscriber); }
    [[nodiscard]] std::size_t count() const { return all_.size(); }

private:
    std::set<Subscriber*> all_;
};

}  // namespace gyled::web
