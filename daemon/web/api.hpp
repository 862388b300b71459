#pragma once
/// What the server answers, without a socket in sight: a request in, a reply out.

#include <functional>
#include <string_view>
#include <variant>

#include "daemon/web/history.hpp"
#include "daemon/web/message.hpp"

namespace gyled::web {

/// The part of an answer that has to look into the past: everything that the loop had to say is in it
/// already. To be called once, on the reading thread; throws what the history throws.
using Question = std::function<Reply(const History&)>;
using Handled = std::variant<Reply, Question>;

/// Answers any request: the API, the metrics, the page's files; a problem document for all else. Whoever asks
/// has been let in already (guard.hpp): a write is carried out. Never throws on what a stranger sends.
/// Thread: the loop's; what takes the disk's time comes back as a question.
[[nodiscard]] Handled answer(const Request& request, Backend& backend);

/// Does this method change something? Those need the token over TCP.
[[nodiscard]] constexpr bool is_write(std::string_view method) {
    return method == "POST" || method == "PATCH" || method == "DELETE";
}

}  // namespace gyled::web
