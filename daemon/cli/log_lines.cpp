#include "daemon/cli/log_lines.hpp"

#include <fmt/format.h>
#include <unistd.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <stdexcept>

namespace gyled::cli {
namespace {
constexpr std::size_t line_bytes_max = 1024 * 1024;
}

struct LogLines::File {
    gzFile handle = nullptr;
    std::string path;
    std::array<char, 64 * 1024> buffer{};
    std::size_t at = 0, filled = 0;

    bool fill() {
        const int got = gzread(handle, buffer.data(), static_cast<unsigned>(buffer.size()));
        if (got < 0) {
            int code = 0;
            throw std::runtime_error(fmt::format("cannot read {}: {}", path, gzerror(handle, &code)));
        }
        at = 0;
        filled = static_cast<std::size_t>(got);
        return got > 0;
    }
};

LogLines::LogLines(const std::string& path) : file_{std::make_unique<File>()} {
    file_->path = path == "-" ? "standard input" : path;
    // zlib reads plain files as they are: gzipped or not need not be asked.
    file_->handle = path == "-" ? gzdopen(dup(STDIN_FILENO), "rb") : gzopen(path.c_str(), "rb");
    if (file_->handle == nullptr) throw std::runtime_error(fmt::format("cannot open {}", path));
}

LogLines::~LogLines() {
    gzclose(file_->handle);
}

std::optional<std::string> LogLines::next() {
    std::string line;
    bool any = false;
    while (true) {
        if (file_->at == file_->filled && !file_->fill()) break;
        any = true;
        const char* from = file_->buffer.data() + file_->at;
        const char* to = file_->buffer.data() + file_->filled;
        const char* end = std::find(from, to, '\n');
        if (line.size() < line_bytes_max) line.append(from, end);
        file_->at += static_cast<std::size_t>(end - from);
        if (end != to) {
            ++file_->at;
            break;
        }
    }
    if (!any) return std::nullopt;
    if (line.size() > line_bytes_max) line.resize(line_bytes_max);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    return line;
}

std::optional<double> LogLines::share_read() const {
    std::error_code error;
    const auto size = std::filesystem::file_size(file_->path, error);
    if (error || size == 0) return std::nullopt;
    return std::min(static_cast<double>(gzoffset(file_->handle)) / static_cast<double>(size), 1.0);
}

std::optional<sensors::Message> parse_log_line(std::string_view line) {
    double seconds = 0;
    const auto [rest, error] = std::from_chars(line.data(), line.data() + line.size(), seconds);
    if (error != std::errc{} || !std::isfinite(seconds) || std::abs(seconds) > 1e11) return std::nullopt;
    std::string_view after{rest, static_cast<std::size_t>(line.data() + line.size() - rest)};
    if (after.empty() || after.front() != ' ') return std::nullopt;
    after.remove_prefix(1);
    const auto blank = after.find(' ');
    const auto topic = after.substr(0, blank);
    if (topic.empty()) return std::nullopt;
    sensors::Message message;
    message.topic = topic;
    message.payload = blank == std::string_view::npos ? std::string_view{} : after.substr(blank + 1);
    message.arrived = base::from_unix_seconds(seconds);
    return message;
}

}  // namespace gyled::cli
