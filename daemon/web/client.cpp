#include "daemon/web/client.hpp"

#include <fmt/format.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/read.hpp>
#include <boost/beast/http/string_body.hpp>
#include <boost/beast/http/write.hpp>
#include <exception>

namespace gyled::web {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using local = asio::local::stream_protocol;
using beast::error_code;

constexpr std::uint64_t answer_bytes_most = 64ULL << 20;

std::string in_words(const std::string& path, error_code error) {
    if (error == asio::error::connection_refused || error == boost::system::errc::no_such_file_or_directory)
        return fmt::format("no daemon answers on {}: is gyled running?", path);
    if (error == asio::error::access_denied)
        return fmt::format("no permission to use {}: are you in the group of gyled?", path);
    if (error == beast::error::timeout) return fmt::format("the daemon on {} did not answer in time", path);
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
    if (error) return base::Unexpected{in_words(socket_path, error)};
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

}  // namespace gyled::web
