#pragma once
/// Builds everything from one Config and keeps it running. Tests start this same App.

#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>

#include "daemon/base/time.hpp"
#include "daemon/config/config.hpp"

namespace gyled::app {

/// Told from the loop, for the service manager: "ready" once, then "alive" whenever the loop has done its
/// round and store and rules are in order.
struct Lifesigns {
    std::function<void()> ready = [] {};
    std::function<void()> alive = [] {};
};

/// Everything runs on the io_context's one thread, but Paho's and the courier's own threads, which only hand
/// over.
class App {
public:
    /// Opens the store, rebuilds running batches from it, prepares broker, messengers and web. Throws
    /// std::runtime_error, in words, when the daemon cannot start: store unusable, address taken, secret
    /// unreadable.
    App(boost::asio::io_context& loop, config::Config config, Lifesigns lifesigns,
        std::function<base::Timestamp()> clock);
    ~App();
    App(const App&) = delete;
    App& operator=(const App&) = delete;

    /// Starts listening and connecting; returns at once. The loop does the rest.
    void start();
    /// Stops input, drains, commits, lets the courier finish briefly, closes. Then the loop runs out of work.
    void stop();
    /// The TCP port in use; 0 when there is none.
    [[nodiscard]] std::uint16_t port() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::app
