#include "daemon/base/text.hpp"

#include <algorithm>

namespace gyled::base {
namespace {

constexpr std::size_t name_characters_least = 8;  // enough to tell two vessels apart

bool continues_a_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;  // 10xxxxxx, RFC 3629
}

}  // namespace

std::size_t characters(std::string_view text) {
    return text.size() -
           static_cast<std::size_t>(std::count_if(text.begin(), text.end(), continues_a_character));
}

std::string shortened(std::string text, std::size_t most) {
    if (characters(text) <= most) return text;
    std::size_t end = 0;
    for (std::size_t seen = 0; end < text.size(); ++end)
        if (!continues_a_character(text[end]) && ++seen == most) break;
    const bool is_between_words = text[end] == ' ';
    text.resize(end);
    const std::size_t gap = text.rfind(' ');
    if (!is_between_words && gap != std::string::npos && characters(text.substr(0, gap)) >= most / 2)
        text.resize(gap);
    while (!text.empty() && text.back() == ' ') text.pop_back();
    return text + "…";
}

std::string headline(std::string name, std::string_view rest) {
    const std::size_t taken = characters(rest);
    const std::size_t room =
        taken + name_characters_least < title_characters ? title_characters - taken : name_characters_least;
    return shortened(shortened(std::move(name), room) + std::string(rest), title_characters);
}

std::string spoken(std::string_view name) {
    std::string out{name};
    std::replace(out.begin(), out.end(), '_', ' ');
    return out;
}

std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

}  // namespace gyled::base
