#pragma once
/// One HTTP request, over libcurl. Known to this folder only.

#include <atomic>
#include <string>
#include <utility>
#include <vector>

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

struct HttpRequest {
    std::string url;  ///< http:// or https://
    std::string method = "POST";
    std::vector<std::pair<std::string, std::string>> headers;
    std::string body;
    Duration timeout = std::chrono::seconds{15};  ///< for all of it, name look-up and answer included
    std::vector<std::string> secrets;             ///< never to appear in the words of the delivery
};

/// Sends and waits for the answer. 2xx is accepted; 408, 425, 429, 5xx and trouble on the way may be tried
/// again, after the answer's Retry-After when it has one; anything else, redirections too, is refused: a
/// token must not wander. Thread: any. Ends early when `hung_up` becomes true. Never throws.
[[nodiscard]] Delivery send_http(const HttpRequest& request, const std::atomic<bool>& hung_up) noexcept;

/// One line of at most 200 bytes without control characters, with each secret replaced. For tests, too.
[[nodiscard]] std::string fit_for_the_log(std::string_view words, const std::vector<std::string>& secrets);

}  // namespace gyled::notify
