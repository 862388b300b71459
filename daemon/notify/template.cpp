#include <array>
#include <nlohmann/json.hpp>

#include "daemon/notify/webhook.hpp"

namespace gyled::notify {
namespace {

using annunciation::Notice;

struct Field {
    std::string_view name;
    std::string (*value)(const Notice&);
};

// clang-format off
constexpr std::array fields{
    Field{"title",    [](const Notice& n) { return n.title; }},
    Field{"text",     [](const Notice& n) { return n.text; }},
    Field{"priority", [](const Notice& n) { return std::string(alarms::name(n.priority)); }},
    Field{"kind",     [](const Notice& n) { return std::string(alarms::name(n.kind)); }},
    Field{"vessel",   [](const Notice& n) { return n.vessel; }},
    Field{"rule",     [](const Notice& n) { return n.rule; }},
    Field{"id",       [](const Notice& n) { return n.id; }},
    Field{"thread",   [](const Notice& n) { return n.thread; }},
    Field{"time",     [](const Notice& n) { return base::to_rfc3339(n.at); }},
};
// clang-format on

const Field* field_named(std::string_view name) {
    for (const Field& field : fields)
        if (field.name == name) return &field;
    return nullptr;
}

std::string_view trimmed(std::string_view text) {
    const std::size_t first = text.find_first_not_of(' ');
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

std::string json_inside(const std::string& value) {
    const std::string quoted =
        nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    return quoted.substr(1, quoted.size() - 2);
}

std::string percent_encoded(const std::string& value) {
    static constexpr std::string_view hex = "0123456789ABCDEF";
    std::string out;
    for (const char c : value) {
        const auto byte = static_cast<unsigned char>(c);
        const bool unreserved = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                                c == '-' || c == '.' || c == '_' || c == '~';
        if (unreserved)
            out += c;
        else
            (out += '%').append({hex[byte >> 4U], hex[byte & 0xFU]});
    }
    return out;
}

std::string escaped(const std::string& value, Escape escape) {
    switch (escape) {
        case Escape::json:
            return json_inside(value);
        case Escape::percent:
            return percent_encoded(value);
        case Escape::none:
            break;
    }
    return value;
}

/// Calls `literal(text)` and `field(name, whole)` for the parts of a template, in order.
template <class OnLiteral, class OnField>
void walk(std::string_view text, OnLiteral on_literal, OnField on_field) {
    while (!text.empty()) {
        const std::size_t open = text.find("{{");
        const std::size_t close = open == std::string_view::npos ? open : text.find("}}", open + 2);
        if (close == std::string_view::npos) break;
        on_literal(text.substr(0, open));
        on_field(trimmed(text.substr(open + 2, close - open - 2)), text.substr(open, close + 2 - open));
        text.remove_prefix(close + 2);
    }
    on_literal(text);
}

}  // namespace

Escape escape_for(std::string_view content_type) {
    if (content_type.find("json") != std::string_view::npos) return Escape::json;
    return content_type.find("x-www-form-urlencoded") != std::string_view::npos ? Escape::percent
                                                                                : Escape::none;
}

std::string filled(std::string_view text, const Notice& notice, Escape escape) {
    std::string out;
    walk(
        text, [&](std::string_view literal) { out += literal; },
        [&](std::string_view name, std::string_view whole) {
            if (const Field* field = field_named(name))
                out += escaped(field->value(notice), escape);
            else
                out += whole;
        });
    return out;
}

std::vector<std::string> unknown_fields(std::string_view text) {
    std::vector<std::string> unknown;
    walk(
        text, [](std::string_view) {},
        [&](std::string_view name, std::string_view) {
            if (field_named(name) == nullptr) unknown.emplace_back(name);
        });
    return unknown;
}

}  // namespace gyled::notify
