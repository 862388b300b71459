#include "daemon/web/session.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/read.hpp>
#include <boost/beast/http/write.hpp>

#include "daemon/web/api.hpp"
#include "daemon/web/gzip.hpp"
#include "daemon/web/target.hpp"
#include "daemon/web/without_case.hpp"

namespace gyled::web {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using beast::error_code;

constexpr std::size_t worth_compressing = 1024;
constexpr std::size_t first_read_bytes = 1024;  ///< a request of the page is smaller
constexpr unsigned http_1_1 = 11;               ///< as Beast counts versions

/// The completion that puts an error where we look for it instead of throwing.
auto into(error_code& error) {
    return asio::redirect_error(asio::use_awaitable, error);
}

void set_common_headers(auto& message) {
    message.set(http::field::server, "gyled");
    message.set(
        "Content-Security-Policy",
        "default-src 'self'; base-uri 'none'; object-src 'none'; form-action 'none'; frame-ancestors 'none'");
    message.set("X-Content-Type-Options", "nosniff");
    message.set("X-Frame-Options", "DENY");
    message.set("Referrer-Policy", "no-referrer");
    message.set("Cross-Origin-Resource-Policy", "same-origin");
    message.set("Permissions-Policy", "camera=(), geolocation=(), microphone=()");
}

/// What to say about bytes that are no request; nothing when there is nobody left to say it to.
std::optional<Reply> complaint(error_code error) {
    if (error == http::error::end_of_stream || error == http::error::partial_message) return std::nullopt;
    if (error == http::error::header_limit)
        return problem(431, "Request header too large",
                       "The request's header is larger than this server reads.");
    if (error == http::error::body_limit)
        return problem(413, "Content too large", "The request's body is larger than this server reads.");
    if (error.category() == http::make_error_code(http::error::bad_method).category())
        return problem(400, "Bad request", "These bytes are not an HTTP request.");
    return std::nullopt;
}

Reply could_not_answer(const std::exception& trouble) {
    spdlog::error("web: could not answer: {}", trouble.what());
    return problem(500, "Internal error", "The answer could not be made; the daemon's log says why.");
}

/// On the reading thread.
Reply reply_of(const Question& question, const Desk& desk) try {
    if (desk.is_closing) return problem(503, "Closing", "The daemon is about to end.");
    return question(desk.history);
} catch (const std::exception& trouble) {
    return could_not_answer(trouble);
}

bool names_etag(std::string_view if_none_match, std::string_view etag) {
    return !etag.empty() && (if_none_match == "*" || if_none_match.find(etag) != std::string_view::npos);
}

/// The first, the tenth, the hundredth ...: enough to notice, and no flood.
void say_guess(std::uint64_t wrong, const std::string& address) {
    std::uint64_t power = 1;
    while (power < wrong) power *= 10;
    if (power == wrong) spdlog::warn("web: {} wrong write tokens so far, the last from {}", wrong, address);
}

}  // namespace

Session::Session(std::shared_ptr<Desk> desk, Stream::socket_type socket, Door door, std::string address)
    : desk_{std::move(desk)},
      stream_{std::move(socket)},
      door_{door},
      address_{std::move(address)},
      pause_{stream_.get_executor()} {
    desk_->sessions.insert(this);
}

Session::~Session() {
    desk_->sessions.erase(this);
}

void Session::close() {
    is_closed_ = true;
    pause_.cancel();
    stream_.close();
}

Occupant Session::occupant(Occupant::Time now) const {
    Occupant occupant{neighbourhood(address_), has_been_answered_, waits_since_};
    if (writes_since_ && now - *writes_since_ >= desk_->settings.limits.slow_reader)
        occupant.idle_since = writes_since_;
    return occupant;
}

asio::awaitable<void> Session::run() try {
    while (co_await serve_one()) {
    }
} catch (const std::exception& problem) {
    spdlog::warn("web: a connection ended badly: {}", problem.what());
}

asio::awaitable<bool> Session::serve_one() {
    Parser parser;
    parser.header_limit(static_cast<std::uint32_t>(desk_->settings.limits.header_bytes));
    parser.body_limit(desk_->settings.limits.body_bytes);

    waits_since_ = std::chrono::steady_clock::now();
    error_code error = co_await read_header(parser);
    std::optional<Refusal> refused;
    if (!error) refused = refusal(parser.get());
    if (!error && !refused) error = co_await read_body(parser);
    if (error)
        if (std::optional<Reply> words = complaint(error)) refused = Refusal{*std::move(words)};
    if (desk_->is_closing || is_closed_ || (error && !refused)) co_return false;
    if (refused) {
        co_await refuse(*std::move(refused), parser);
        co_return false;
    }

    waits_since_.reset();
    has_been_answered_ = true;
    Reply reply = co_await reply_to(parser);
    if (desk_->is_closing || is_closed_) co_return false;
    const unsigned version = parser.get().version();
    if (reply.is_event_stream && parser.get().method() != http::verb::head) {
        co_await stream_events(version);
        co_return false;
    }
    const bool keep_alive = parser.keep_alive();
    co_await send(std::move(reply), parser.get(), version, keep_alive);
    co_return keep_alive&& stream_.socket().is_open();
}

asio::awaitable<error_code> Session::read_header(Parser& parser) {
    error_code error;
    const Limits& limits = desk_->settings.limits;
    if (buffer_.size() == 0) {
        stream_.expires_after(has_been_answered_ ? limits.idle : limits.header);
        const std::size_t count =
            co_await stream_.async_read_some(buffer_.prepare(first_read_bytes), into(error));
        buffer_.commit(count);
        if (error) co_return error;
    }
    stream_.expires_after(limits.header);
    co_await http::async_read_header(stream_, buffer_, parser, into(error));
    co_return error;
}

asio::awaitable<error_code> Session::read_body(Parser& parser) {
    error_code error;
    stream_.expires_after(desk_->settings.limits.idle);
    if (equal_without_case(parser.get()[http::field::expect], "100-continue"))
        co_await asio::async_write(stream_, asio::buffer(std::string_view{"HTTP/1.1 100 Continue\r\n\r\n"}),
                                   into(error));
    if (!error) co_await http::async_read(stream_, buffer_, parser, into(error));
    co_return error;
}

asio::awaitable<void> Session::refuse(Refusal refusal, const Parser& parser) {
    if (refusal.held_back.count() > 0) {
        error_code ignored;
        pause_.expires_after(refusal.held_back);
        co_await pause_.async_wait(into(ignored));
    }
    if (is_closed_) co_return;
    co_await send(std::move(refusal.reply), parser.get(), parser.get().version(), false);
    co_await linger();
}

std::optional<Session::Refusal> Session::refusal(const Header& header) {
    // RFC 9112, 3.2: without exactly one well-formed Host there is no telling whom the request is meant for
    const std::size_t hosts = header.count(http::field::host);
    const std::string_view line = header[http::field::host];
    const std::optional<std::string> named = addressed(header.target()).host;
    if (hosts > 1 || (hosts == 0 && header.version() >= http_1_1) || !is_host_value(line) ||
        (named && (named->empty() || !is_host_value(*named))))
        return Refusal{
            problem(400, "Bad request", "A request names its host once, in one well-formed Host line.")};
    if (door_ == Door::unix_socket) return std::nullopt;
    if (!host_is_ours(named ? std::string_view{*named} : line, desk_->settings.names))
        return Refusal{
            problem(421, "Misdirected request",
                    "This server answers to localhost, to its IP address, to this machine's own name, and "
                    "to the names that [web] host_names lists.")};
    if (!is_write(header.method_string())) return std::nullopt;
    return refusal_to_write(header);
}

std::optional<Session::Refusal> Session::refusal_to_write(const Header& header) {
    const auto [verdict, held_back] =
        desk_->tokens.check(header[http::field::authorization], address_, std::chrono::steady_clock::now());
    switch (verdict) {
        case TokenCheck::Verdict::accepted:
            return std::nullopt;
        case TokenCheck::Verdict::no_writing:
            return Refusal{problem(403, "Read only",
                                   "No write token is configured: changes are made on the machine itself.")};
        case TokenCheck::Verdict::wrong:
            say_guess(desk_->tokens.wrong(), address_);
            break;
        case TokenCheck::Verdict::missing:
            break;
    }
    Refusal refused{problem(401, "Token needed", "Changes over the network need the write token."),
                    held_back};
    refused.reply.headers.emplace_back("WWW-Authenticate", "Bearer realm=\"gyled\"");
    return refused;
}

asio::awaitable<Reply> Session::reply_to(Parser& parser) {
    Handled answered = answer_to(parser);
    if (auto* question = std::get_if<Question>(&answered)) co_return co_await ask(std::move(*question));
    co_return std::get<Reply>(std::move(answered));
}

Handled Session::answer_to(Parser& parser) try {
    auto& request = parser.get();
    Handled answered = answer({.method = std::string{request.method_string()},
                               .target = addressed(request.target()).target,
                               .content_type = std::string{request[http::field::content_type]},
                               .body = std::move(request.body())},
                              desk_->backend);
    const Reply* reply = std::get_if<Reply>(&answered);
    if (reply && reply->is_event_stream && desk_->subscribers.count() >= desk_->settings.limits.event_streams)
        return problem(503, "Too many listeners", "All event streams are taken; ask again later.");
    return answered;
} catch (const std::exception& trouble) {
    return could_not_answer(trouble);
}

asio::awaitable<Reply> Session::ask(Question question) {
    // everything that the reading thread touches is in the lambda: the session stays on the loop
    auto asking = [desk = desk_, question = std::move(question)]() -> asio::awaitable<Reply> {
        co_return reply_of(question, *desk);
    };
    co_return co_await asio::co_spawn(desk_->reader.get_executor(), std::move(asking), asio::use_awaitable);
}

asio::awaitable<void> Session::send(Reply reply, const Header& header, unsigned version, bool keep_alive) {
    const bool is_head = header.method() == http::verb::head;
    const bool is_unchanged =
        reply.status == 200 && names_etag(header[http::field::if_none_match], reply.etag);

    http::response<http::string_body> message{static_cast<http::status>(reply.status), version};
    set_common_headers(message);
    message.keep_alive(keep_alive);
    message.set(http::field::content_type, reply.content_type);
    message.set(http::field::vary, "Accept-Encoding");
    message.set(http::field::cache_control, "no-store");
    if (!reply.etag.empty()) message.set(http::field::etag, reply.etag);
    for (const auto& [name, value] : reply.headers) message.set(name, value);
    if (is_unchanged) {
        message.result(http::status::not_modified);
    } else {
        message.body() = std::move(reply.body);
        if (accepts_gzip(header[http::field::accept_encoding])) {
            if (reply.gzipped.empty() && reply.etag.empty() && message.body().size() >= worth_compressing)
                reply.gzipped = gzipped(message.body(), 5);
            if (!reply.gzipped.empty()) {
                message.body() = std::move(reply.gzipped);
                message.set(http::field::content_encoding, "gzip");
            }
        }
        message.content_length(message.body().size());
    }
    stream_.expires_after(desk_->settings.limits.idle);
    writes_since_ = std::chrono::steady_clock::now();
    error_code error;
    http::response_serializer<http::string_body> serializer{message};
    if (is_head || is_unchanged)
        co_await http::async_write_header(stream_, serializer, into(error));
    else
        co_await http::async_write(stream_, serializer, into(error));
    writes_since_.reset();
    if (error) stream_.close();
}

asio::awaitable<void> Session::stream_events(unsigned version) {
    Subscriber subscriber{stream_.get_executor()};
    desk_->subscribers.add(subscriber);
    const auto leave = [&desk = *desk_](Subscriber* s) { desk.subscribers.remove(*s); };
    const std::unique_ptr<Subscriber, decltype(leave)> subscription{&subscriber, leave};

    http::response<http::empty_body> head{http::status::ok, version};
    set_common_headers(head);
    head.keep_alive(false);
    head.set(http::field::content_type, "text/event-stream");
    head.set(http::field::cache_control, "no-store");
    http::response_serializer<http::empty_body> serializer{head};
    const auto patience = desk_->settings.limits.keep_alive;
    stream_.expires_after(patience);
    error_code error;
    co_await http::async_write_header(stream_, serializer, into(error));

    std::string letters = "retry: 3000\n\n";
    while (!error && !subscriber.is_dropped()) {
        stream_.expires_after(patience);  // whoever does not read this soon is dropped
        co_await asio::async_write(stream_, asio::buffer(letters), into(error));
        stream_.expires_never();
        if (!error && subscriber.is_empty() && !subscriber.is_dropped()) {
            error_code rung;
            subscriber.bell().expires_after(patience);
            co_await subscriber.bell().async_wait(into(rung));
        }
        letters = subscriber.take();
        if (letters.empty()) letters = ": still here\n\n";
    }
    stream_.close();
}

asio::awaitable<void> Session::linger() {
    error_code error;
    stream_.socket().shutdown(Stream::socket_type::shutdown_send, error);
    stream_.expires_after(std::chrono::seconds{2});
    std::array<char, 4096> nowhere;
    for (int reads = 0; !error && reads < 256; ++reads)
        co_await stream_.async_read_some(asio::buffer(nowhere), into(error));
    stream_.close();
}

}  // namespace gyled::web
