#include "daemon/cli/log_place.hpp"

#include <algorithm>

namespace gyled::cli {
namespace {

bool are_near(base::Timestamp a, base::Timestamp b) {
    return std::chrono::abs(a - b) <= LogPlace::near;
}

}  // namespace

bool LogPlace::take(const std::deque<LogLine>& ahead) {
    const base::Timestamp at = ahead.front().message.arrived;
    const bool follows = !before_.empty() && are_near(at, before_.back());
    if (!follows && !are_near(at, median(ahead))) return false;
    before_.push_back(at);
    if (before_.size() > neighbours) before_.pop_front();
    return true;
}

/// Of an even number the earlier of the two in the middle: a wild time mostly lies in the future.
base::Timestamp LogPlace::median(const std::deque<LogLine>& ahead) const {
    std::vector<base::Timestamp> times{before_.begin(), before_.end()};
    for (const LogLine& line : ahead) times.push_back(line.message.arrived);
    const auto middle = times.begin() + static_cast<std::ptrdiff_t>((times.size() - 1) / 2);
    std::ranges::nth_element(times, middle);
    return *middle;
}

void Misplaced::note(const LogLine& line) {
    ++count_;
    if (first_.size() < remembered_most) first_.push_back({line.number, line.message.arrived});
}

}  // namespace gyled::cli
