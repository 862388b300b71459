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

}  // namespace

int push_priority(const Notice& notice) {
    if (notice.kind == Notice::Kind::over) return 2;
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
    const std::string& about = notice.thread.empty() ? notice.id : notice.thread;
    const std::string whole = about + "-" + std::string(alarms::name(notice.priority));
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
                        .secrets = {settings_.token, settings_.topic, settings_.url}};
    if (!settings_.token.empty()) request.headers.emplace_back("Authorization", "Bearer " + settings_.token);
    return send_http(request, hung_up_);
}

}  // namespace gyled::notify
