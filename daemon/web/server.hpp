#pragma once
/// The HTTP server: JSON, live events, metrics and the page, over TCP and over a Unix socket.
///
/// Threads: everything runs on the io_context's one thread, and so does every call into the `Backend`; that
/// thread never waits for a disk. Questions of the past go, one after the other, to a reading thread of the
/// server's own, the only one that calls the `History`. What a stranger sends can fail only its own
/// connection.

#include <boost/asio/io_context.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "daemon/web/backend.hpp"
#include "daemon/web/event.hpp"
#include "daemon/web/guard.hpp"
#include "daemon/web/history.hpp"

namespace gyled::web {

/// How much of us one stranger may use. The defaults are meant for a home; tests make them small.
struct Limits {
    std::size_t header_bytes = 8 * 1024;
    std::size_t body_bytes = 256 * 1024;
    std::size_t connections = 64;  ///< each: TCP, Unix socket; so that the one cannot lock out the other. At
                                   ///< a full door the idlest makes room (room.hpp)
    std::size_t event_streams = 32;  ///< of the connections, those that may stay open for events
    std::chrono::milliseconds header =
        std::chrono::seconds{10};  ///< for a newcomer's first byte, and for a header from its first byte on
    std::chrono::milliseconds idle =
        std::chrono::seconds{60};  ///< for a whole body, a whole answer, a pause between requests
    std::chrono::milliseconds slow_reader =
        std::chrono::seconds{5};  ///< an answer not read for so long: its connection counts as idle
    std::chrono::milliseconds keep_alive =
        std::chrono::seconds{15};  ///< a comment into each quiet event stream
};

struct Settings {
    std::string listen =
        "127.0.0.1:8075";              ///< "address:port" or "[v6]:port"; port 0 picks one; empty: no TCP
    std::string socket{};              ///< path of the Unix socket (mode 0660); empty: none
    std::string write_token{};         ///< writes over TCP need it; empty: no writes over TCP
    std::vector<std::string> names{};  ///< answered to, besides localhost, IP literals and our own host name
    GuessParameters guessing{};
    Limits limits{};
};

class Server {
public:
    /// Keeps references to loop, backend and history; they outlive the server.
    Server(boost::asio::io_context& loop, Backend& backend, const History& history, Settings settings);
    /// Stops; connections still open are closed.
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    /// Binds and listens. Throws std::runtime_error in words when an address is malformed or taken, or when a
    /// living server answers on the socket. A socket file that nobody answers on is replaced.
    void start();
    /// Closes listeners and connections and removes the socket file. Waits for the one question that the
    /// reading thread is at, if any (some ms); afterwards nobody calls backend or history. Handlers still run
    /// once more: let the loop drain. Safe to call twice.
    void stop();
    /// The TCP port in use; 0 when there is none.
    [[nodiscard]] std::uint16_t port() const;
    /// Tells every open event stream. One that does not read is dropped. Never blocks.
    void notify(const Event& event);
    /// Open connections, event streams included; for the metrics and for tests.
    [[nodiscard]] std::size_t connections() const;

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace gyled::web
