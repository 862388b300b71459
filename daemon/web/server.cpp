#include "daemon/web/server.hpp"

#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "daemon/web/listen.hpp"
#include "daemon/web/session.hpp"

namespace gyled::web {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using local = asio::local::stream_protocol;
using boost::system::error_code;

std::string address_of(const tcp::socket& socket) {
    error_code error;
    const tcp::endpoint peer = socket.remote_endpoint(error);
    return error ? std::string{} : peer.address().to_string();
}
std::string address_of(const local::socket& /*socket*/) {
    return {};
}

void prepare(tcp::socket& socket) {
    error_code ignored;
    socket.set_option(tcp::no_delay{true}, ignored);
}
void prepare(local::socket& /*socket*/) {}

/// Is there a place at this door? A connection that nobody would miss gives up its own.
bool makes_room(const Desk& desk, Door door) {
    std::vector<Session*> inside;
    for (Session* session : desk.sessions)
        if (session->door() == door && !session->is_closed()) inside.push_back(session);
    if (inside.size() < desk.settings.limits.connections) return true;

    std::vector<Occupant> occupants;
    for (const Session* session : inside)
        occupants.push_back(session->occupant(std::chrono::steady_clock::now()));
    const auto chosen = who_gives_way(occupants);
    if (chosen) inside[*chosen]->close();
    return chosen.has_value();
}

/// Lets people in through one door, as many as fit. Ends when the acceptor is closed.
template <class Acceptor>
asio::awaitable<void> keep_door(std::shared_ptr<Acceptor> acceptor, std::shared_ptr<Desk> desk, Door door) {
    while (acceptor->is_open()) {
        error_code error;
        auto socket = co_await acceptor->async_accept(asio::redirect_error(asio::use_awaitable, error));
        if (desk->is_closing) co_return;
        if (error) {  // out of file descriptors, most likely: breathe, then go on
            spdlog::warn("web: cannot accept a connection: {}", error.message());
            asio::steady_timer pause{acceptor->get_executor(), std::chrono::milliseconds{200}};
            co_await pause.async_wait(asio::redirect_error(asio::use_awaitable, error));
            continue;
        }
        if (!makes_room(*desk, door)) continue;  // closes it
        prepare(socket);
        std::string address = address_of(socket);
        const auto session = std::make_shared<Session>(desk, std::move(socket), door, std::move(address));
        asio::co_spawn(
            acceptor->get_executor(), [session]() -> asio::awaitable<void> { co_await session->run(); },
            asio::detached);
    }
}

}  // namespace

struct Server::State {
    State(asio::io_context& on, Backend& asked, const History& past, Settings given)
        : loop{on}, backend{asked}, history{past}, settings{std::move(given)} {
        for (std::string& name : names_of_this_machine()) settings.names.push_back(std::move(name));
        open_desk();
    }

    asio::io_context& loop;
    Backend& backend;
    const History& history;
    Settings settings;
    std::unique_ptr<asio::thread_pool> reader{};  ///< while the doors are open
    std::shared_ptr<Desk> desk;  ///< a new one for each start: those who still leave keep the old one
    std::shared_ptr<tcp::acceptor> tcp_door{};
    std::shared_ptr<local::acceptor> unix_door{};
    std::uint16_t port = 0;
    struct stat socket_file {};

    void open_desk() {
        reader = std::make_unique<asio::thread_pool>(1);
        desk = std::shared_ptr<Desk>{new Desk{backend,
                                              history,
                                              *reader,
                                              settings,
                                              TokenCheck{settings.write_token, settings.guessing},
                                              {},
                                              {},
                                              false}};
    }

    /// Ours, unless somebody has put another there since.
    void remove_socket_file() const {
        struct stat now {};
        const std::string& path = settings.socket;
        if (::lstat(path.c_str(), &now) == 0 && now.st_ino == socket_file.st_ino &&
            now.st_dev == socket_file.st_dev)
            ::unlink(path.c_str());
    }
};

Server::Server(asio::io_context& loop, Backend& backend, const History& history, Settings settings)
    : state_{std::make_shared<State>(loop, backend, history, std::move(settings))} {}

Server::~Server() {
    stop();
}

void Server::start() {
    State& s = *state_;
    const Settings& settings = s.settings;
    if (s.desk->is_closing) s.open_desk();
    if (!settings.listen.empty()) {
        s.tcp_door = std::make_shared<tcp::acceptor>(listen_tcp(s.loop, settings.listen));
        s.port = s.tcp_door->local_endpoint().port();
        asio::co_spawn(s.loop, keep_door(s.tcp_door, s.desk, Door::tcp), asio::detached);
    }
    if (!settings.socket.empty()) {
        s.unix_door = std::make_shared<local::acceptor>(listen_unix(s.loop, settings.socket));
        static_cast<void>(::lstat(settings.socket.c_str(), &s.socket_file));
        asio::co_spawn(s.loop, keep_door(s.unix_door, s.desk, Door::unix_socket), asio::detached);
    }
}

void Server::stop() {
    State& s = *state_;
    s.desk->is_closing = true;
    if (s.unix_door) s.remove_socket_file();
    error_code ignored;
    if (s.tcp_door) s.tcp_door->close(ignored);
    if (s.unix_door) s.unix_door->close(ignored);
    s.tcp_door.reset();
    s.unix_door.reset();
    s.port = 0;
    s.desk->subscribers.drop_all();
    for (Session* session : s.desk->sessions) session->close();
    if (s.reader) s.reader->join();
}

std::uint16_t Server::port() const {
    return state_->port;
}

void Server::notify(const Event& event) {
    if (state_->desk->subscribers.count() == 0) return;
    state_->desk->subscribers.tell(event_text(event, state_->desk->backend.display()));
}

std::size_t Server::connections() const {
    return state_->desk->sessions.size();
}

}  // namespace gyled::web
