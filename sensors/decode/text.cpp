#include "sensors/decode/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace gyled::sensors {
namespace {

/// Where a sequence of well-formed UTF-8 starts: how many bytes follow, and the range of the first of them.
/// Source: RFC 3629 section 4, the grammar of UTF8-octets.
struct Lead {
    unsigned char first, last;
    int following;
    unsigned char second_low, second_high;
};
constexpr Lead leads[] = {
    {0xC2, 0xDF, 1, 0x80, 0xBF}, {0xE0, 0xE0, 2, 0xA0, 0xBF}, {0xE1, 0xEC, 2, 0x80, 0xBF},
    {0xED, 0xED, 2, 0x80, 0x9F}, {0xEE, 0xEF, 2, 0x80, 0xBF}, {0xF0, 0xF0, 3, 0x90, 0xBF},
    {0xF1, 0xF3, 3, 0x80, 0xBF}, {0xF4, 0xF4, 3, 0x80, 0x8F},
};

/// The number of bytes in the well-formed sequence at the front of `bytes`; 0 when there is none.
std::size_t sequence_length(std::string_view bytes) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
    for (const Lead& lead : leads) {
        if (byte(0) < lead.first || byte(0) > lead.last) continue;
        const auto length = static_cast<std::size_t>(lead.following) + 1;
        if (bytes.size() < length || byte(1) < lead.second_low || byte(1) > lead.second_high) return 0;
        for (std::size_t i = 2; i < length; ++i)
            if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
        return length;
    }
    return 0;
}

constexpr std::string_view white_space = " \t\r\n";

}  // namespace

bool is_utf8(std::string_view bytes) {
    while (!bytes.empty()) {
        const std::size_t length =
            static_cast<unsigned char>(bytes.front()) < 0x80 ? 1 : sequence_length(bytes);
        if (length == 0) return false;
        bytes.remove_prefix(length);
    }
    return true;
}

std::string_view trimmed(std::string_view text) {
    const std::size_t first = text.find_first_not_of(white_space);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(white_space) - first + 1);
}

std::optional<Refusal> refuse_unreadable(std::string_view payload) {
    if (payload.size() > longest_payload_bytes)
        return Refusal{"too_long",
                       fmt::format("{} bytes, at most {} are read", payload.size(), longest_payload_bytes)};
    if (trimmed(payload).empty()) return Refusal{"empty_payload", "nothing in the payload"};
    if (!is_utf8(payload)) return Refusal{"not_utf8", fmt::format("not UTF-8 text: '{}'", excerpt(payload))};
    return std::nullopt;
}

std::string excerpt(std::string_view text, std::size_t longest) {
    std::string out{text.substr(0, longest)};
    std::replace_if(
        out.begin(), out.end(), [](char c) { return c < ' ' || c > '~'; }, '.');
    return text.size() > longest ? out + "..." : out;
}

}  // namespace gyled::sensors
