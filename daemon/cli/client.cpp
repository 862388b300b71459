#include "daemon/cli/client.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/read.hpp>
#include <boost/beast/http/string_body.hpp>
#include <boost/beast/http/write.hpp>
#include <exception>

namespace gyled::cli {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using local = asio::local::stream_protocol;
using beast::error_code;

constexpr std::uint64_t answer_bytes_most = 64ULL << 20;

/// What is likely the matter, and what to do.
std::string in_words(const std::string& path, error_code error, std::chrono::milliseconds patience) {
    if (error == boost::system::errc::no_such_file_or_directory)
        return fmt::format(
            "there is no socket {}: gyled is not running, or its [web] socket is another (see --config). "
            "Nobody watches the vessels while it is not running.",
            path);
    if (error == asio::error::connection_refused)
        return fmt::format(
            "the socket {} was left behind by a gyled that is gone. Nobody watches the vessels until it runs "
            "again.",
            path);
    if (error == asio::error::access_denied)
        return fmt::format(
            "no permission to use {}: join the group of gyled (sudo adduser \"$USER\" gyled) and log in "
            "again",
            path);
    if (error == beast::error::timeout)
        return fmt::format(
            "gyled on {} has not answered within {}: it hangs, or the machine is overloaded. "
            "Look at the vessels yourself.",
            path, std::chrono::duration<double>{patience});
    if (error == http::error::end_of_stream || error == asio::error::connection_reset)
        return fmt::format("gyled on {} hung up without an answer: it is ending, or too many ask at once",
                           path);
    return fmt::format("talking to {} failed: {}", path, error.message());
}

/// Runs one step to its end; the stream's own timeout ends it at the latest.
template <class Start>
error_code step(asio::io_context& loop, Start start) {
    error_code result;
    start([&](error_code error, auto&&...) { result = error; });
    loop.restart();
    loop.run();
    return result;
}

}  // namespace

base::Result<ClientResponse, std::string> ask(const std::string& socket_path,
                                              const ClientRequest& request) try {
    asio::io_context loop;
    beast::basic_stream<local> stream{loop};
    stream.expires_after(request.timeout);

    http::request<http::string_body> message;
    message.method_string(request.method);
    message.target(request.target);
    message.version(11);
    message.set(http::field::host, "localhost");
    message.set(http::field::user_agent, "gyle/" GYLED_VERSION);
    message.keep_alive(false);
    if (!request.body.empty()) {
        message.set(http::field::content_type, request.content_type);
        message.body() = request.body;
    }
    message.prepare_payload();

    beast::flat_buffer buffer;
    http::response_parser<http::string_body> answer;
    answer.body_limit(answer_bytes_most);

    error_code error =
        step(loop, [&](auto done) { stream.async_connect(local::endpoint{socket_path}, done); });
    if (!error) error = step(loop, [&](auto done) { http::async_write(stream, message, done); });
    if (!error) error = step(loop, [&](auto done) { http::async_read(stream, buffer, answer, done); });
    if (error) return base::Unexpected{in_words(socket_path, error, request.timeout)};
    return ClientResponse{.status = static_cast<int>(answer.get().result_int()),
                          .content_type = std::string{answer.get()[http::field::content_type]},
                          .body = std::move(answer.get().body())};
} catch (const std::exception& trouble) {
    return base::Unexpected{fmt::format("talking to {} failed: {}", socket_path, trouble.what())};
}

std::string percent_encoded(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const bool is_unreserved = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                                   (c >= '0' && c <= '9') || c == '-' || c == '.' || c == '_' || c == '~';
        out += is_unreserved ? std::string{c} : fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
    return out;
}

}  // namespace gyled::cli
