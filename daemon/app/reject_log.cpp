#include "daemon/app/reject_log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace gyled::app {
namespace {

std::string kind_of(const sensors::Reject& reject) {
    return (reject.sensor.empty() ? "no sensor" : reject.sensor) + ": " + reject.reason;
}

}  // namespace

std::optional<std::string> RejectLog::note(const sensors::Reject& reject) {
    const std::string kind = kind_of(reject);
    if (const auto known = counted_.find(kind); known != counted_.end()) {
        ++known->second;
        return std::nullopt;
    }
    if (counted_.size() >= parameters_.kinds_max) {
        ++counted_["others"];
        return std::nullopt;
    }
    counted_[kind] = 0;
    return fmt::format("rejected ({}): {}; more of this kind are counted", kind, reject.detail);
}

std::optional<std::string> RejectLog::summary(base::Timestamp now) {
    if (!summed_at_ || now < *summed_at_) summed_at_ = now;
    if (now - *summed_at_ < parameters_.summary_every) return std::nullopt;
    summed_at_ = now;
    std::vector<std::pair<std::uint64_t, std::string>> most;
    std::uint64_t all = 0;
    for (auto& [kind, count] : counted_) {
        if (count > 0) most.emplace_back(count, kind);
        all += std::exchange(count, 0);
    }
    if (all == 0) return std::nullopt;
    std::ranges::sort(most, std::greater{});
    std::string line = fmt::format("rejected {} more:", all);
    for (std::size_t i = 0; i < std::min(most.size(), parameters_.kinds_shown); ++i)
        line += fmt::format("{} {} x {}", i == 0 ? "" : ";", most[i].first, most[i].second);
    return line;
}

}  // namespace gyled::app
