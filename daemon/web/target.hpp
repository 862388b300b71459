#pragma once
/// The request target (RFC 9112, 3.2) taken apart: whom it names, path segments and query, percent-decoded.

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

/// A target in absolute form, "http://host/path", as every server must take it, is one in origin form and the
/// host that it is meant for, which then counts instead of the Host line.
struct Addressed {
    std::optional<std::string> host;  ///< with its port; may be malformed. Nothing in another form
    std::string target;               ///< for `parse_target`
};
[[nodiscard]] Addressed addressed(std::string_view text);

/// Nothing when it does not begin with '/', holds an empty, "." or ".." segment, a control character, a bad
/// escape, an escaped '/' or NUL, or the same query key twice.
[[nodiscard]] std::optional<Target> parse_target(std::string_view text);

}  // namespace gyled::web
