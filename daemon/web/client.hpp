#pragma once
/// Talks to a running daemon over its Unix socket: what the `gyle` command uses. Blocking; any thread; no
/// state kept.

#include <chrono>
#include <string>

#include "daemon/base/result.hpp"

namespace gyled::web {

struct ClientRequest {
    std::string method = "GET";
    std::string target{};                           ///< "/api/vessels", query included and already escaped
    std::string body{};                             ///< sent when not empty
    std::string content_type = "application/json";  ///< of the body
    std::chrono::milliseconds timeout = std::chrono::seconds{10};
};

struct ClientResponse {
    int status = 0;
    std::string content_type;
    std::string body{};
};

/// One request, one answer (any status is an answer). The error is a sentence with the socket's path in it:
/// nobody listens, no permission, took too long, not HTTP. Answers above 64 MiB are refused.
[[nodiscard]] base::Result<ClientResponse, std::string> ask(const std::string& socket_path,
                                                            const ClientRequest& request);

/// Escapes text for use within a path or query (RFC 3986 unreserved characters stay).
[[nodiscard]] std::string percent_encoded(std::string_view text);

}  // namespace gyled::web
