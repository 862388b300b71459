#pragma once
/// One HTTP request, over libcurl. Known to this folder only.

#include <atomic>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

/// What came back with a 2xx.
struct HttpAnswer {
    long status = 0;
    std::string content_type;  ///< as sent; empty when none was
    std::string body;          ///< its first 64 KiB
    /// A page for people: a login page on the way, or a server that knows nothing of this address.
    [[nodiscard]] bool is_web_page() const;
};

struct HttpRequest {
    std::string url;  ///< http:// or https://
    std::string method = "POST";
    std::vector<std::pair<std::string, std::string>> headers;
    std::string body;
    Duration timeout = std::chrono::seconds{15};  ///< for all of it, name look-up and answer included
    std::vector<std::string> secrets;             ///< never to appear in the words of the delivery
    /// Why this 2xx is no acceptance, as the end of "answered 200 ..."; empty: it is one.
    std::function<std::string(const HttpAnswer&)> objection;
};

/// Sends and waits for the answer. Accepted is a 2xx that the request has no objection to, and nothing else;
/// the answer's Retry-After is passed on when it has one. A redirection is told, not followed: a token must
/// not wander. Thread: any. Ends early when `hung_up` becomes true. Never throws.
[[nodiscard]] Delivery send_http(const HttpRequest& request, const std::atomic<bool>& hung_up) noexcept;

/// One line of at most 200 bytes without control characters, with each secret replaced. For tests, too.
[[nodiscard]] std::string fit_for_the_log(std::string_view words, const std::vector<std::string>& secrets);

}  // namespace gyled::notify
