#include "daemon/notify/webhook.hpp"

#include "daemon/notify/http.hpp"

namespace gyled::notify {
namespace {

/// A header is one line, whatever the notice says.
std::string on_one_line(std::string text) {
    for (char& c : text)
        if (c == '\r' || c == '\n') c = ' ';
    return text;
}

std::string objection_to(const HttpAnswer& answer, const std::string& expected) {
    if (expected.empty())
        return answer.is_web_page() ? "with a web page, perhaps a network's login page" : std::string{};
    if (answer.body.find(expected) != std::string::npos) return {};
    return "without '" + expected + "'";
}

}  // namespace

WebhookMessenger::WebhookMessenger(WebhookSettings settings) : settings_{std::move(settings)} {
    if (!settings_.body.empty()) return;
    settings_.content_type = "application/json";
    settings_.body =
        R"({"title":"{{title}}","text":"{{text}}","priority":"{{priority}}","kind":"{{kind}}","vessel":"{{vessel}}",)"
        R"("rule":"{{rule}}","id":"{{id}}","thread":"{{thread}}","time":"{{time}}"})";
}

std::string WebhookMessenger::header_value(const std::string& text,
                                           const annunciation::Notice& notice) const {
    constexpr std::string_view token = "{{token}}";
    // The token goes in last and is looked for in the person's own template only: no notice can call it up.
    const std::size_t at = text.find(token);
    if (at == std::string::npos) return on_one_line(filled(text, notice, Escape::none));
    return on_one_line(filled(text.substr(0, at), notice, Escape::none)) + settings_.token +
           on_one_line(filled(text.substr(at + token.size()), notice, Escape::none));
}

Delivery WebhookMessenger::send(const annunciation::Notice& notice) {
    HttpRequest request{.url = filled(settings_.url, notice, Escape::percent),
                        .method = settings_.method,
                        .headers = {{"Content-Type", settings_.content_type},
                                    {"Idempotency-Key", filled("{{id}}", notice, Escape::percent)}},
                        .body = filled(settings_.body, notice, escape_for(settings_.content_type)),
                        .timeout = settings_.timeout,
                        .secrets = {settings_.token, settings_.url},
                        .objection = [&](const HttpAnswer& answer) {
                            return objection_to(answer, settings_.expected_answer);
                        }};
    for (const auto& [field, value] : settings_.headers) {
        request.headers.emplace_back(field, header_value(value, notice));
        if (value.find("{{") == std::string::npos)
            request.secrets.push_back(value);  // a key may stand there in clear
    }
    return send_http(request, hung_up_);
}

}  // namespace gyled::notify
