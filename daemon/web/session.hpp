#pragma once
/// One open connection: reads requests, asks the API, writes replies, or becomes an event stream.

#include <atomic>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <chrono>
#include <memory>
#include <optional>
#include <set>

#include "daemon/web/api.hpp"
#include "daemon/web/guard.hpp"
#include "daemon/web/message.hpp"
#include "daemon/web/room.hpp"
#include "daemon/web/server.hpp"
#include "daemon/web/subscribers.hpp"

namespace gyled::web {

class Session;

/// What all sessions share. Outlives them: each holds it.
struct Desk {
    Backend& backend;
    const History& history;
    boost::asio::thread_pool& reader;  ///< one thread: all questions of the past, one after the other
    Settings settings;
    TokenCheck tokens;
    Subscribers subscribers;
    std::set<Session*> sessions;
    std::atomic<bool> is_closing = false;  ///< from then on nobody touches backend or history
};

/// How somebody came in.
enum class Door { tcp, unix_socket };

class Session : public std::enable_shared_from_this<Session> {
public:
    using Stream = boost::beast::basic_stream<boost::asio::generic::stream_protocol>;

    Session(std::shared_ptr<Desk> desk, Stream::socket_type socket, Door door, std::string address);
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    /// Serves until somebody has had enough. Never throws.
    [[nodiscard]] boost::asio::awaitable<void> run();
    void close();
    [[nodiscard]] bool is_closed() const { return is_closed_; }
    [[nodiscard]] Door door() const { return door_; }
    [[nodiscard]] Occupant occupant(Occupant::Time now) const;

private:
    /// A reply that says no, and how long it is to be in coming.
    struct Refusal {
        Reply reply;
        std::chrono::milliseconds held_back{};
    };
    using Parser = boost::beast::http::request_parser<boost::beast::http::string_body>;
    using Header = boost::beast::http::request_header<>;

    /// Reads one request and replies. False when the connection has come to its end.
    boost::asio::awaitable<bool> serve_one();
    /// A pause between requests may be long, what follows its first byte may not.
    boost::asio::awaitable<boost::beast::error_code> read_header(Parser& parser);
    boost::asio::awaitable<boost::beast::error_code> read_body(Parser& parser);
    boost::asio::awaitable<void> refuse(Refusal refusal, const Parser& parser);
    /// Why this request must not be answered, from its header alone.
    [[nodiscard]] std::optional<Refusal> refusal(const Header& header);
    [[nodiscard]] std::optional<Refusal> refusal_to_write(const Header& header);
    boost::asio::awaitable<Reply> reply_to(Parser& parser);
    [[nodiscard]] Handled answer_to(Parser& parser);
    /// Asks on the reading thread and comes back to the loop with the reply. Never throws.
    boost::asio::awaitable<Reply> ask(Question question);
    boost::asio::awaitable<void> send(Reply reply, const Header& header, unsigned version, bool keep_alive);
    boost::asio::awaitable<void> stream_events(unsigned version);
    /// Says goodbye so that the reply is not lost to bytes that nobody read.
    boost::asio::awaitable<void> linger();

    std::shared_ptr<Desk> desk_;
    Stream stream_;
    Door door_;
    std::string address_;
    boost::beast::flat_buffer buffer_;
    boost::asio::steady_timer pause_;
    bool is_closed_ = false;
    bool has_been_answered_ = false;
    /// Since when it waits for a request, or does not read our answer; nothing while one is being made.
    std::optional<Occupant::Time> waits_since_ = std::chrono::steady_clock::now();
    std::optional<Occupant::Time> writes_since_{};
};

}  // namespace gyled::web
