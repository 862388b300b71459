#pragma once
/// Within the API: what a request brings with it, and a command on its way to the core. Thread: the loop's.

#include <initializer_list>
#include <string_view>

#include "daemon/base/result.hpp"
#include "daemon/web/call.hpp"

namespace gyled::web {

[[nodiscard]] Reply bad_body(std::string_view detail);
/// Is the body said to be of this media type? Its parameters are passed over.
[[nodiscard]] bool has_type(const Request& request, std::string_view type);
[[nodiscard]] Reply wrong_type(std::string_view wanted);
/// The body as a JSON object that holds only the named keys. A misspelt key is a mistake, not a default.
[[nodiscard]] base::Result<Json, Reply> body_object(const Call& call,
                                                    std::initializer_list<std::string_view> keys);
/// What the core made of it: what was understood, or why not.
[[nodiscard]] Reply carried_out(const Call& call, const cellar::Command& command);

}  // namespace gyled::web
