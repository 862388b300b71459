#include "daemon/config/report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "sensors/decode/text.hpp"

namespace gyled::config {
namespace {

constexpr std::ptrdiff_t mistakes_max = 200;  // and as many warnings: these crowd out no error
constexpr std::size_t excerpt_width = 100;

std::string_view line_of(std::string_view text, std::size_t number) {
    for (; number > 1; --number) {
        const std::size_t end = text.find('\n');
        if (end == text.npos) return {};
        text.remove_prefix(end + 1);
    }
    std::string_view line = text.substr(0, text.find('\n'));
    if (line.ends_with('\r')) line.remove_suffix(1);
    return line;
}

constexpr bool begins_character(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80;
}

/// The byte at which the `column`-th character (from 1) begins; the line's end when there are fewer.
std::size_t byte_of_column(std::string_view line, std::size_t column) {
    std::size_t seen = 0;
    for (std::size_t i = 0; i < line.size(); ++i)
        if (begins_character(line[i]) && ++seen == column) return i;
    return line.size();
}

/// Fit to be printed and sent on: UTF-8, no control characters but tabs.
std::string printable(std::string text) {
    const bool sound = sensors::is_utf8(text);
    for (char& c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if ((byte < 0x20 && c != '\t') || byte == 0x7f || (byte >= 0x80 && !sound)) c = '?';
    }
    return text;
}

}  // namespace

std::string Mistake::text() const {
    const char* const weight = is_warning ? "warning" : "error";
    return line == 0 ? fmt::format("{}: {}: {}", file, weight, what)
                     : fmt::format("{}:{}:{}: {}: {}", file, line, column, weight, what);
}

bool has_error(const Mistakes& mistakes) {
    return std::any_of(mistakes.begin(), mistakes.end(), [](const Mistake& m) { return !m.is_warning; });
}

std::string excerpt(std::string_view text, Place place) {
    std::string_view line = line_of(text, place.line);
    if (place.line == 0 || line.empty()) return {};
    std::size_t at = byte_of_column(line, std::max<std::size_t>(place.column, 1));
    if (line.size() > excerpt_width) {
        std::size_t from = at > excerpt_width / 2 ? at - excerpt_width / 2 : 0;
        while (from > 0 && !begins_character(line[from])) --from;
        std::size_t until = std::min(line.size(), from + excerpt_width);
        while (until < line.size() && !begins_character(line[until])) ++until;
        line = line.substr(from, until - from);
        at -= from;
    }
    std::string under;
    for (std::size_t i = 0; i < std::min(at, line.size()); ++i)
        if (begins_character(line[i])) under += line[i] == '\t' ? '\t' : ' ';
    return printable(std::string{line}) + '\n' + under + '^';
}

Report::Report(std::string_view text, std::string file, Follow follow)
    : text_{text}, file_{std::move(file)}, follow_{follow} {}

void Report::note(Place place, std::string what, bool is_warning) {
    const auto of_its_kind = std::count_if(mistakes_.begin(), mistakes_.end(),
                                           [&](const Mistake& m) { return m.is_warning == is_warning; });
    if (of_its_kind >= mistakes_max) return;
    mistakes_.push_back(
        {file_, place.line, place.column, printable(std::move(what)), excerpt(text_, place), is_warning});
}

void Report::add(Place place, std::string what) {
    note(place, std::move(what), false);
}

void Report::warn(Place place, std::string what) {
    note(place, std::move(what), true);
}

Mistakes Report::take() {
    std::stable_sort(mistakes_.begin(), mistakes_.end(), [](const Mistake& a, const Mistake& b) {
        return std::pair{a.line, a.column} < std::pair{b.line, b.column};
    });
    return std::move(mistakes_);
}

std::string Report::beside_file(const std::string& path) const {
    if (path.empty()) return path;
    return (std::filesystem::path{file_}.parent_path() / path).lexically_normal().string();
}

}  // namespace gyled::config
