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
    if (!follows && !has_company(ahead)) return false;
    before_.push_back(at);
    if (before_.size() > neighbours) before_.pop_front();
    return true;
}

/// Of an even number the earlier of the two in the middle counts: a wild time mostly lies in the future.
bool LogPlace::has_company(const std::deque<LogLine>& ahead) const {
    std::vector<base::Timestamp> times{before_.begin(), before_.end()};
    for (const LogLine& line : ahead) times.push_back(line.message.arrived);
    const auto middle = times.begin() + static_cast<std::ptrdiff_t>((times.size() - 1) / 2);
    std::ranges::nth_element(times, middle);
    const base::Timestamp at = ahead.front().message.arrived;
    const auto near_ones =
        std::ranges::count_if(times, [at](base::Timestamp other) { return are_near(at, other); });
    return are_near(at, *middle) && static_cast<std::size_t>(near_ones) * 2 >= times.size();
}

void Misplaced::note(const LogLine& line) {
    ++count_;
    if (first_.size() < remembered_most) first_.push_back({line.number, line.message.arrived});
}

}  // namespace gyled::cli
