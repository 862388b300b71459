#pragma once
/// The request target (RFC 9112 origin form) taken apart: path segments and query, percent-decoded.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace gyled::web {

struct Target {
    std::vector<std::string> path;  ///< "/api/vessels/north" -> api, vessels, north; "/" -> none
    std::map<std::string, std::string> query;
};

/// Nothing when it does not begin with '/', holds an empty, "." or ".." segment, a control character, a bad
/// escape, an escaped '/' or NUL, or the same query key twice.
[[nodiscard]] std::optional<Target> parse_target(std::string_view text);

}  // namespace gyled::web
