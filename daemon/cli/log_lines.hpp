#pragma once
/// Reads a recorded log line by line, gzipped or plain.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "sensors/reading.hpp"

namespace gyled::cli {

/// Thread: one. Throws std::runtime_error, naming the path, when it cannot be opened or read.
class LogLines {
public:
    explicit LogLines(const std::string& path);  ///< "-" is standard input
    ~LogLines();
    LogLines(const LogLines&) = delete;
    LogLines& operator=(const LogLines&) = delete;

    /// The next line without its end; nothing after the last. Lines above 1 MiB are cut there.
    [[nodiscard]] std::optional<std::string> next();
    /// How much of the file has been read, 0 to 1; nothing when it has no size.
    [[nodiscard]] std::optional<double> share_read() const;

private:
    struct File;
    std::unique_ptr<File> file_;
};

/// `UNIX_SECONDS TOPIC PAYLOAD`: the seconds may have a fraction, the payload may be empty and hold blanks.
[[nodiscard]] std::optional<sensors::Message> parse_log_line(std::string_view line);

}  // namespace gyled::cli
