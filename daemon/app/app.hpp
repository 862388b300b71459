#pragma once
/// Builds everything from one Config and keeps it running. Tests start this same App, with a double for the
/// broker.

#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/base/clock.hpp"
#include "daemon/config/config.hpp"
#include "daemon/mqtt/source.hpp"

namespace gyled::app {

/// Told from the loop, for the service manager: "ready" once, then "alive" whenever the loop has done its
/// round.
struct Lifesigns {
    std::function<void()> ready = [] {};
    std::function<void()> alive = [] {};
};

/// Makes the source of messages: subscribed to `filters`, it calls `wake` (from any thread) when there is
/// something to take.
using MakeSource = std::function<std::unique_ptr<mqtt::Source>(std::vector<std::string> filters,
                                                               std::function<void()> wake)>;

/// Everything runs on the io_context's one thread, but Paho's and the courier's own threads, which only hand
/// over. The io_context must outlive it.
class App {
public:
    /// Opens the store, rebuilds running batches from it, prepares broker, messengers and web. Throws
    /// std::runtime_error, in words, when the daemon cannot start: store unusable, address taken, secret
    /// unreadable. Without `make_source`, messages come from the broker that the configuration names.
    App(boost::asio::io_context& loop, config::Config config, Lifesigns lifesigns, base::Clock clock,
        const MakeSource& make_source = {});
    ~App();  ///< stops
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
