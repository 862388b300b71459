#pragma once
/// A file of the past as readings: a table of comma-separated values with a head, or a recorded log.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/cli/log_lines.hpp"
#include "daemon/config/config.hpp"
#include "sensors/intake.hpp"
#include "sensors/reading.hpp"

namespace gyled::cli {

/// What one line came to.
struct HistoryLine {
    std::uint64_t number = 0;                  ///< from 1, as an editor counts
    std::vector<sensors::Reading> readings{};  ///< canonical units, pressures gauge
    std::string complaint{};                   ///< why the line is bad; empty: it is not
};

/// A table names its columns in the first line: time, quantity and value; vessel, sensor and unit where one
/// for all does not do. Separated by commas, or by semicolons. A log is `UNIX_SECONDS TOPIC PAYLOAD`, whose
/// topics the configuration knows. Lines that begin with # are for people. Thread: one. The constructor
/// throws std::runtime_error, in words, when the file cannot be read or is neither; `next` when it cannot be
/// read on.
class HistoryFile {
public:
    struct Options {
        std::string vessel, sensor = "import";   ///< for a table that does not say
        const config::Config* config = nullptr;  ///< needed for a log; brings the units of a table
    };
    HistoryFile(const std::string& path, Options options);

    /// Lines that say nothing (blank, for people, a belief, a topic that no sensor names) are passed over.
    [[nodiscard]] std::optional<HistoryLine> next();
    /// How much of the file has been read, 0 to 1; nothing when nobody knows.
    [[nodiscard]] std::optional<double> share_read() const { return lines_.share_read(); }

private:
    using Fields = std::vector<std::string>;

    [[nodiscard]] HistoryLine table_line(const std::string& line) const;
    [[nodiscard]] HistoryLine log_line(const sensors::Message& message);
    void make_gauge(sensors::Reading& reading);
    void read_head(const std::string& line);
    [[nodiscard]] std::string column(const Fields& fields, const std::string& name) const;
    [[nodiscard]] display::Display display() const;

    LogLines lines_;
    Options options_;
    std::map<std::string, std::size_t> columns_;  ///< of a table, by name; empty: it is a log
    char separator_ = ',';
    std::optional<sensors::Intake> intake_;
    double ambient_kpa_ = 0;
    std::optional<std::string> first_;  ///< of a log, read to know what it is
    std::uint64_t number_ = 0;
};

}  // namespace gyled::cli
