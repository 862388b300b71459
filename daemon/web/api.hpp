#pragma once
/// What the server answers, without a socket in sight: a request in, a reply out.

#include <string_view>

#include "daemon/web/message.hpp"

namespace gyled::web {

/// Answers any request: the API, the metrics, the page's files; a problem document for all else. Whoever asks
/// has been let in already (guard.hpp): a write is carried out. Never throws on what a stranger sends.
[[nodiscard]] Reply answer(const Request& request, Backend& backend);

/// Does this method change something? Those need the token over TCP.
[[nodiscard]] constexpr bool is_write(std::string_view method) {
    return method == "POST" || method == "PATCH" || method == "DELETE";
}

}  // namespace gyled::web
