#include "daemon/notify/push.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "daemon/notify/http.hpp"

namespace gyled::notify {
namespace {

using alarms::Priority;
using annunciation::Notice;

constexpr std::size_t sequence_longest = 64;

/// FNV-1a, 64 bit: tells long ids apart after they were cut.
std::string fingerprint(std::string_view text) {
    std::uint64_t hash = 14695981039346656037ULL;
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
    std::array<char, 17> hex{};
    std::snprintf(hex.data(), hex.size(), "%016llx", static_cast<unsigned long long>(hash));
    return hex.data();
}

bool in_alphabet(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

std::string message_for(const PushSettings& settings, const Notice& notice) {
    nlohmann::json message{{"topic", settings.topic},
                           {"title", notice.title},
                           {"message", notice.text},
                           {"priority", push_priority(notice)},
                           {"tags", {annunciation::name(notice.kind)}},
                           {"sequence_id", push_sequence(notice)}};
    if (!settings.click_url.empty()) message["click"] = settings.click_url;
    return message.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

/// The relay's receipt of a published message: a JSON object with the id that it gave it. A login page on the
/// way, a proxy or another service at this address may answer 200, but not this.
std::string objection_to(const HttpAnswer& answer) {
    const auto receipt = nlohmann::json::parse(answer.body, nullptr, false);
    if (receipt.is_object() && receipt.contains("id") && receipt["id"].is_string() &&
        !receipt["id"].get_ref<const std::string&>().empty())
        return {};
    if (answer.is_web_page())
        return "with a web page, perhaps a network's login page, and no push relay's receipt";
    return "without a push relay's receipt";
}

/// Its first step has the moment of the raise, which ends the alarm's id; a worse step, and one that was held
/// back, a later one.
bool is_later_step(const Notice& notice) {
    return notice.kind == Notice::Kind::raised && !notice.thread.empty() &&
           !notice.thread.ends_with("/" + std::to_string(notice.at.time_since_epoch().count()));
}

}  // namespace

int push_priority(const Notice& notice) {
    if (notice.kind == Notice::Kind::returned) return 2;
    switch (notice.priority) {
        case Priority::critical:
            return 5;
        case Priority::high:
            return 4;
        case Priority::medium:
            return 3;
        case Priority::low:
            break;
    }
    return 2;
}

std::string push_sequence(const Notice& notice) {
    const std::string& whole = notice.thread.empty() || is_later_step(notice) ? notice.id : notice.thread;
    std::string out = whole;
    std::replace_if(
        out.begin(), out.end(), [](char c) { return !in_alphabet(c); }, '-');
    if (out.size() <= sequence_longest) return out;
    const std::string mark = fingerprint(whole);
    out.resize(sequence_longest - mark.size() - 1);
    return out + "-" + mark;
}

PushMessenger::PushMessenger(PushSettings settings) : settings_{std::move(settings)} {}

Delivery PushMessenger::send(const Notice& notice) {
    HttpRequest request{.url = settings_.url,
                        .headers = {{"Content-Type", "application/json"}},
                        .body = message_for(settings_, notice),
                        .timeout = settings_.timeout,
                        .secrets = {settings_.token, settings_.topic, settings_.url},
                        .objection = objection_to};
    if (!settings_.token.empty()) request.headers.emplace_back("Authorization", "Bearer " + settings_.token);
    return send_http(request, hung_up_);
}

}  // namespace gyled::notify
