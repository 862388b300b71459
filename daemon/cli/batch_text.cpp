#include "daemon/cli/batch_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace gyled::cli {
namespace {

constexpr std::string_view stage_head = "[[stage]]";

/// Where the value that begins at `from` ends: before its comment, or a closing brace of the table around it.
std::size_t end_of_value(const std::string& line, std::size_t from) {
    bool in_quotes = false;
    int open = 0;
    for (std::size_t i = from; i < line.size(); ++i) {
        const char c = line[i];
        if (c == '"') in_quotes = !in_quotes;
        if (in_quotes) continue;
        if (c == '[') ++open;
        if (c == ']') --open;
        if (c == '#' || c == '}' || (c == ',' && open == 0)) return i;
    }
    return line.size();
}

/// The value in its place; a comment behind it stays in its column where there is room.
void replace_value(std::string& line, std::size_t from, const std::string& value) {
    const std::size_t end = end_of_value(line, from);
    const std::size_t blank = line.find_last_not_of(' ', end == 0 ? 0 : end - 1) + 1;
    const std::size_t room = end - from;
    std::string put = value;
    if (end < line.size())
        put += std::string(std::max<std::size_t>(room, value.size() + 1) - value.size(), ' ');
    if (end < line.size() && line[end] != '#') put = value + line.substr(blank, end - blank);
    line.replace(from, room, put);
}

}  // namespace

BatchText::BatchText(std::string_view text) {
    std::istringstream in{std::string{text}};
    for (std::string line; std::getline(in, line);) lines_.push_back(line);
}

std::size_t BatchText::end_of_head() const {
    return static_cast<std::size_t>(std::find(lines_.begin(), lines_.end(), stage_head) - lines_.begin());
}

void BatchText::set(std::string_view key, const std::string& value) {
    const std::string head = fmt::format("{} = ", key);
    const std::size_t end = end_of_head();
    for (std::size_t i = 0; i < end; ++i) {
        std::string& line = lines_[i];
        if (line.starts_with("#" + head)) {
            line.erase(0, 1);
            if (const auto comment = line.find('#'); comment != std::string::npos) line.insert(comment, " ");
        }
        if (line.starts_with(head)) return replace_value(line, head.size(), value);
    }
    std::size_t last = end;
    while (last > 0 && lines_[last - 1].empty()) --last;
    lines_.insert(lines_.begin() + static_cast<std::ptrdiff_t>(last), head + value);
}

std::size_t BatchText::place_of(base::StageKind stage) const {
    const std::string kind = fmt::format("kind = \"{}\"", base::name(stage));
    const auto found = std::find_if(lines_.begin(), lines_.end(),
                                    [&](const std::string& line) { return line.starts_with(kind); });
    return static_cast<std::size_t>(found - lines_.begin());
}

bool BatchText::has(base::StageKind stage) const {
    return place_of(stage) < lines_.size();
}

void BatchText::set(base::StageKind stage, std::string_view key, const std::string& value) {
    const std::string head = fmt::format("{} = ", key);
    for (std::size_t i = place_of(stage); i < lines_.size() && lines_[i] != stage_head; ++i) {
        const bool stands_alone = key.find('.') == std::string_view::npos;
        const std::string wanted = stands_alone ? head : head.substr(head.find('.') + 1);
        const bool is_in_end = lines_[i].starts_with("end = ");
        if (stands_alone == is_in_end) continue;
        const std::size_t at = lines_[i].rfind(wanted);
        if (at == std::string::npos || (stands_alone && at != 0)) continue;
        return replace_value(lines_[i], at + wanted.size(), value);
    }
}

std::string BatchText::text() const {
    std::string out;
    for (const std::string& line : lines_) out += line + '\n';
    return out;
}

std::string toml_string(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) continue;
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

}  // namespace gyled::cli
