#pragma once
/// Which lines of a recorded log stand where their time belongs. One line in the year 2200 would carry the
/// core there, and make all that follow it old news.

#include <cstdint>
#include <deque>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::cli {

struct LogLine {
    std::uint64_t number = 0;  ///< from 1, as an editor counts
    sensors::Message message;
};

/// A line belongs to the log when its time is near that of the line before; or near the median of the lines
/// around it, as half of them are. So a log that goes on years later is believed, some wild lines are not,
/// and of nothing but wild lines next to nothing is left. Thread: one.
class LogPlace {
public:
    static constexpr std::size_t neighbours =
        10;  ///< on either side: fewer wild lines in a row are found out
    /// As old as a reading may be (sensors/plausibility/event_time.hpp), so no batch has a longer silence.
    static constexpr base::Duration near = std::chrono::hours{24 * 400};

    /// `ahead` begins with the line in question; up to `neighbours` that follow it are asked.
    [[nodiscard]] bool take(const std::deque<LogLine>& ahead);

private:
    [[nodiscard]] bool has_company(const std::deque<LogLine>& ahead) const;

    std::deque<base::Timestamp> before_;  ///< of the latest lines that belong, oldest first
};

/// What was left out. Counts all, remembers the first few. Thread: one.
class Misplaced {
public:
    static constexpr std::size_t remembered_most =
        5;  ///< what a person reads before they look for themselves
    struct Line {
        std::uint64_t number;
        base::Timestamp at;
    };
    void note(const LogLine& line);
    [[nodiscard]] std::uint64_t count() const { return count_; }
    [[nodiscard]] const std::vector<Line>& first() const { return first_; }

private:
    std::uint64_t count_ = 0;
    std::vector<Line> first_;
};

}  // namespace gyled::cli
