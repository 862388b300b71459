#include "daemon/web/message.hpp"

#include "daemon/json/document.hpp"

namespace gyled::web {

using json::Json;
using json::text;

Reply problem(int status, std::string_view title, std::string_view detail) {
    const Json document{{"type", "about:blank"}, {"title", title}, {"status", status}, {"detail", detail}};
    return {.status = status, .content_type = "application/problem+json", .body = text(document)};
}

Reply problem(const Problem& p) {
    const bool is_error = p.status >= 400 && p.status <= 599;
    return problem(is_error ? p.status : 500, p.title, p.detail);
}

}  // namespace gyled::web
