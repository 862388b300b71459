#pragma once
/// A request and a reply as the API sees them: no sockets, so that both can be made up in a test or by a
/// fuzzer.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/web/backend.hpp"

namespace gyled::web {

struct Request {
    std::string
        method{};  ///< "GET", "POST", ...; "HEAD" is treated as "GET" and loses its body on the way out
    std::string target{};        ///< as sent: path and query, percent-encoded
    std::string content_type{};  ///< of the body
    std::string body{};
};

struct Reply {
    int status = 200;
    std::string content_type = "application/json";
    std::string body{};
    std::string gzipped{};  ///< the body compressed beforehand; empty: there is none
    std::string etag{};     ///< with its quotes; empty: none
    std::vector<std::pair<std::string, std::string>> headers{};  ///< beyond those every reply carries
    bool is_event_stream = false;  ///< no body: events follow until somebody leaves
};

/// An RFC 9457 problem document as the reply.
[[nodiscard]] Reply problem(int status, std::string_view title, std::string_view detail);
/// With findings of the plan it also carries "findings", and "confirmable": would the same request with
/// "confirm": true be carried out?
[[nodiscard]] Reply problem(const Problem& p);

}  // namespace gyled::web
