#include "daemon/web/message.hpp"

#include "daemon/json/views.hpp"

namespace gyled::web {

using json::Json;
using json::text;

namespace {

Json document_of(int status, std::string_view title, std::string_view detail) {
    return {{"type", "about:blank"}, {"title", title}, {"status", status}, {"detail", detail}};
}

Reply reply_of(int status, const Json& document) {
    return {.status = status, .content_type = "application/problem+json", .body = text(document)};
}

}  // namespace

Reply problem(int status, std::string_view title, std::string_view detail) {
    return reply_of(status, document_of(status, title, detail));
}

Reply problem(const Problem& p) {
    const bool is_error = p.status >= 400 && p.status <= 599;
    const int status = is_error ? p.status : 500;
    Json document = document_of(status, p.title, p.detail);
    if (!p.findings.empty()) {
        document["findings"] = json::findings_json(p.findings);
        document["confirmable"] = !batch::is_dangerous(p.findings);
    }
    return reply_of(status, document);
}

}  // namespace gyled::web
