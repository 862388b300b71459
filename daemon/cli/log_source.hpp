#pragma once
/// A recorded log as a source of messages.

#include <deque>
#include <optional>
#include <string>

#include "daemon/cli/log_lines.hpp"
#include "daemon/cli/log_place.hpp"
#include "daemon/mqtt/source.hpp"
#include "sensors/intake.hpp"

namespace gyled::cli {

/// Lines that begin with # are for people; a line that is none, or whose time belongs to no place near it, is
/// counted and left out. Thread: one. The constructor throws std::runtime_error when the log cannot be
/// opened, or read up to its first reading; later trouble ends the log and stands in `problem`.
class LogSource final : public mqtt::Source {
public:
    /// `taster` is an intake of its own that finds the first reading; its memory is thrown away.
    LogSource(const std::string& path, sensors::Intake taster);

    /// When the log's first accepted or judged reading was taken; nothing when there is none.
    [[nodiscard]] std::optional<base::Timestamp> first_reading() const { return first_reading_; }
    [[nodiscard]] std::uint64_t not_lines() const { return not_lines_; }
    [[nodiscard]] const Misplaced& misplaced() const { return misplaced_; }
    [[nodiscard]] const std::string& problem() const { return problem_; }

    void start() override {}
    [[nodiscard]] mqtt::MessageGroup drain(std::size_t max) override;
    [[nodiscard]] std::vector<sensors::Message> look_ahead(std::size_t) override { return {}; }
    void release(std::uint64_t) override {}  // the file keeps itself
    void rewind() override {}
    [[nodiscard]] mqtt::MessageGroup drain_again(std::size_t) override { return {}; }
    [[nodiscard]] std::vector<mqtt::ConnectionEvent> take_events() override { return {}; }
    bool publish(std::string_view, std::string_view, bool, int) override { return false; }
    [[nodiscard]] mqtt::Figures figures() const override { return {}; }
    void stop(base::Duration) override {}

private:
    [[nodiscard]] std::optional<sensors::Message> next();
    [[nodiscard]] std::optional<LogLine> read();
    void read_ahead();
    void taste(sensors::Intake& taster);

    LogLines lines_;
    LogPlace place_;
    Misplaced misplaced_;
    std::deque<LogLine> ahead_;  ///< read, not yet given on: what a line is judged by
    std::deque<sensors::Message> tasted_;
    std::optional<base::Timestamp> first_reading_;
    std::uint64_t number_ = 0, not_lines_ = 0, groups_ = 0;
    std::string problem_;
};

}  // namespace gyled::cli
