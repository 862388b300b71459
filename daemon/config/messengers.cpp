/// [[messenger]]: the ways to a phone.

#include <fmt/format.h>

#include "daemon/config/readers.hpp"

namespace gyled::config {
namespace {

using namespace std::chrono_literals;
using Kind = Messenger::Kind;

const Choices<Kind> kinds{
    {"push", Kind::push}, {"webhook", Kind::webhook}, {"mail", Kind::mail}, {"mqtt", Kind::mqtt}};
const Choices<std::string> methods{{"POST", "POST"}, {"PUT", "PUT"}, {"GET", "GET"}};
const Words fields{"title", "text", "priority", "kind", "vessel", "rule", "id", "thread", "time", "token"};

void check_url(Section& section, std::string_view key, const std::string& url) {
    if (url.empty() || url.starts_with("http://") || url.starts_with("https://")) return;
    section.mistake(key, fmt::format("{}: '{}' does not begin with http:// or https://", key, url));
}

/// Are all {{fields}} of a template known?
void check_template(Section& section, std::string_view key, std::string_view text) {
    for (std::size_t open = text.find("{{"); open != text.npos; open = text.find("{{")) {
        text.remove_prefix(open + 2);
        const std::size_t close = text.find("}}");
        if (close == text.npos) {
            section.mistake(key, fmt::format("{}: {{{{ without }}}}", key));
            return;
        }
        std::string_view field = text.substr(0, close);
        while (field.starts_with(' ')) field.remove_prefix(1);
        while (field.ends_with(' ')) field.remove_suffix(1);
        if (std::find(fields.begin(), fields.end(), field) == fields.end())
            section.mistake(key, fmt::format("{}: unknown field '{}'{}", key, field, hint(field, fields)));
        text.remove_prefix(close + 2);
    }
}

bool has_line_break(std::string_view text) {
    return text.find_first_of("\r\n") != text.npos;
}

void read_headers(Section& section, Messenger& messenger) {
    auto headers = section.table("headers");
    if (!headers) return;
    messenger.headers = headers->all_texts();
    for (const auto& [name, value] : messenger.headers) {
        check_template(*headers, name, value);
        if (has_line_break(name) || has_line_break(value) || name.empty() || name.find(':') != name.npos)
            headers->mistake(name, "headers: a header is one line, and its name has no colon");
    }
}

/// Which keys belong to which kind.
void check_kind(Section& section, const Messenger& messenger) {
    const auto only_for = [&](const char* kind, std::initializer_list<std::string_view> keys) {
        section.refuse(keys, fmt::format("is for kind = \"{}\"", kind));
    };
    switch (messenger.kind) {
        case Kind::push:
            section.require({"url", "topic"});
            break;
        case Kind::webhook:
            section.require({"url"});
            break;
        case Kind::mqtt:
            section.require({"topic"});
            break;
        case Kind::mail:
            section.mistake("kind",
                            "kind: this version sends no mail itself; a push relay or a webhook can do it");
            return;
    }
    if (messenger.kind != Kind::webhook)
        only_for("webhook", {"method", "content_type", "headers", "body", "expected_answer"});
    if (messenger.kind == Kind::webhook) only_for("push\" or \"mqtt", {"topic"});
    if (messenger.kind != Kind::push) only_for("push", {"click_url"});
    if (messenger.kind == Kind::mqtt) only_for("push\" or \"webhook", {"url", "token", "timeout"});
}

void read_quiet(Section& section, Messenger& messenger) {
    std::string hours;
    section.text("quiet", hours);
    if (!section.has("quiet")) return;
    messenger.quiet = annunciation::quiet_hours(hours);
    if (!messenger.quiet)
        section.mistake("quiet", "quiet: from and to by the site's clock, as in \"22:30-06:30\"");
}

Messenger read_messenger(Section& section) {
    Messenger messenger;
    const std::size_t mistakes_before = section.report().count();
    section.require({"name", "kind"});
    section.identifier("name", messenger.name);
    section.choice("kind", messenger.kind, kinds);
    const bool kind_known = section.has("kind") && section.report().count() == mistakes_before;
    section.text("url", messenger.url);
    check_url(section, "url", messenger.url);
    section.text("topic", messenger.topic);
    if (section.has("topic") && (messenger.topic.empty() || messenger.topic.find_first_of(std::string_view{
                                                                "+#\0", 3}) != messenger.topic.npos))
        section.mistake("topic", "topic: one topic to publish on, without + and #");
    section.secret("token", messenger.token);
    using enum alarms::Priority;
    section.choice("at_least", messenger.at_least, choices({low, medium, high, critical}));
    read_quiet(section, messenger);
    section.duration("critical_after", messenger.critical_after, {1min, 24h});
    section.choice("method", messenger.method, methods);
    section.text("content_type", messenger.content_type);
    if (has_line_break(messenger.content_type)) section.mistake("content_type", "content_type: one line");
    read_headers(section, messenger);
    section.text("body", messenger.body);
    check_template(section, "body", messenger.body);
    section.text("expected_answer", messenger.expected_answer);
    section.text("click_url", messenger.click_url);
    check_url(section, "click_url", messenger.click_url);
    section.duration("timeout", messenger.timeout, {1s, 2min});
    if (kind_known) check_kind(section, messenger);
    section.finish();
    return messenger;
}

}  // namespace

std::vector<Messenger> read_messengers(Section& root) {
    std::vector<Messenger> messengers;
    Names names;
    for (Section& section : root.tables("messenger")) {
        messengers.push_back(read_messenger(section));
        names.add(section, "name", messengers.back().name);
    }
    return messengers;
}

}  // namespace gyled::config
