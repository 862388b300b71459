#pragma once
/// Any HTTP receiver: a chat room, a home hub, a gateway. What it gets is the person's own template.

#include <atomic>
#include <string>
#include <utility>
#include <vector>

#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

struct WebhookSettings {
    std::string url;  ///< may hold fields, which are percent-encoded there
    std::string method = "POST";
    std::string content_type = "application/json";
    std::vector<std::pair<std::string, std::string>> headers;  ///< values may hold fields, {{token}} too
    std::string body;   ///< template; empty: a JSON object of all fields
    std::string token;  ///< what {{token}} stands for, in headers only
    Duration timeout = std::chrono::seconds{15};
    std::string expected_answer{};  ///< text that the answer must contain; empty: any 2xx but a web page
};

class WebhookMessenger final : public Messenger {
public:
    explicit WebhookMessenger(WebhookSettings settings);
    [[nodiscard]] Delivery send(const annunciation::Notice& notice) override;
    void hang_up() override { hung_up_ = true; }

private:
    [[nodiscard]] std::string header_value(const std::string& text, const annunciation::Notice& notice) const;

    WebhookSettings settings_;
    std::atomic<bool> hung_up_ = false;
};

/// How a field's value is written into its surroundings.
enum class Escape : std::uint8_t {
    none,
    json,     ///< for the inside of a JSON string; bytes that are no UTF-8 become U+FFFD
    percent,  ///< for URLs and forms (RFC 3986: all but unreserved characters)
};
/// JSON for types that say so (RFC 6839: also "+json"), percent for forms, none otherwise.
[[nodiscard]] Escape escape_for(std::string_view content_type);

/// The template with each {{title}} {{text}} {{priority}} {{kind}} {{vessel}} {{rule}} {{id}} {{thread}}
/// {{time}} (UTC, RFC 3339) replaced. Blanks inside the braces are allowed. Other fields stay as they are.
[[nodiscard]] std::string filled(std::string_view text, const annunciation::Notice& notice, Escape escape);
/// Fields of a template that nobody knows, for configuration checks.
[[nodiscard]] std::vector<std::string> unknown_fields(std::string_view text);

}  // namespace gyled::notify
