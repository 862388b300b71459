#include "daemon/web/target.hpp"

#include "daemon/web/without_case.hpp"

namespace gyled::web {
namespace {

int hex_digit(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

bool is_control(char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

std::optional<std::string> decoded(std::string_view text, bool plus_is_space) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        char c = text[i];
        if (c == '%') {
            if (i + 2 >= text.size()) return std::nullopt;
            const int high = hex_digit(text[i + 1]), low = hex_digit(text[i + 2]);
            if (high < 0 || low < 0) return std::nullopt;
            c = static_cast<char>(high * 16 + low);
            i += 2;
        } else if (c == '+' && plus_is_space) {
            c = ' ';
        }
        if (is_control(c)) return std::nullopt;
        out += c;
    }
    return out;
}

/// Calls `each` with every piece between separators; stops and returns false when it does.
template <class Each>
bool split(std::string_view text, char separator, Each each) {
    while (true) {
        const std::size_t end = text.find(separator);
        if (!each(text.substr(0, end))) return false;
        if (end == std::string_view::npos) return true;
        text.remove_prefix(end + 1);
    }
}

bool parse_path(std::string_view text, Target& target) {
    if (!text.starts_with('/')) return false;
    text.remove_prefix(1);
    if (text.empty()) return true;
    return split(text, '/', [&](std::string_view piece) {
        std::optional<std::string> segment = decoded(piece, false);
        if (!segment || segment->empty() || *segment == "." || *segment == "..") return false;
        if (segment->find('/') != std::string::npos) return false;
        target.path.push_back(*std::move(segment));
        return true;
    });
}

bool parse_query(std::string_view text, Target& target) {
    return split(text, '&', [&](std::string_view piece) {
        if (piece.empty()) return true;
        const std::size_t equals = piece.find('=');
        std::optional<std::string> key = decoded(piece.substr(0, equals), true);
        std::optional<std::string> value{""};
        if (equals != std::string_view::npos) value = decoded(piece.substr(equals + 1), true);
        return key && value && target.query.emplace(*std::move(key), *std::move(value)).second;
    });
}

}  // namespace

Addressed addressed(std::string_view text) {
    for (const std::string_view scheme : {"http://", "https://"}) {
        if (!equal_without_case(text.substr(0, scheme.size()), scheme)) continue;
        text.remove_prefix(scheme.size());
        const std::size_t end = std::min(text.find_first_of("/?"), text.size());
        const std::string_view rest = text.substr(end);
        return {std::string{text.substr(0, end)}, (rest.starts_with('/') ? "" : "/") + std::string{rest}};
    }
    return {std::nullopt, std::string{text}};
}

std::optional<Target> parse_target(std::string_view text) {
    Target target;
    const std::size_t question = text.find('?');
    if (!parse_path(text.substr(0, question), target)) return std::nullopt;
    if (question != std::string_view::npos && !parse_query(text.substr(question + 1), target))
        return std::nullopt;
    return target;
}

}  // namespace gyled::web
