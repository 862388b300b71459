#include "daemon/estimation/gravity/gas_record.hpp"

#include <algorithm>

#include "daemon/estimation/gravity/parameters.hpp"

namespace gyled::estimation::gravity {
namespace {

constexpr GasRecordParameters recording;

}  // namespace

std::size_t GasRecord::last_begin() const {
    const auto begin = std::ranges::find_if(points_.rbegin(), points_.rend(), &GasPoint::begins);
    return static_cast<std::size_t>(points_.rend() - begin) - 1;
}

void GasRecord::take(GasPoint begin, GasPoint now) {
    if (distrusted_h_ && begin.hour <= *distrusted_h_) return;
    begin.begins = true;
    const bool is_new = points_.empty() || points_[last_begin()].hour != begin.hour;
    if (is_new && !points_.empty() && begin.hour < points_.back().hour) return;  // the clock was set
    if (is_new) points_.push_back(begin);
    if (now.hour - points_.back().hour < recording.every_h) return;
    points_.push_back(now);
    if (points_.size() > most_points) thin();
}

/// Every second point goes, of what is older than a day; then the oldest. A span keeps its beginning.
void GasRecord::thin() {
    const double old_h = points_.back().hour - recording.fresh_h;
    std::vector<GasPoint> kept;
    bool keeps = false;
    for (const GasPoint& point : points_) {
        keeps = point.begins || point.hour > old_h || !keeps;
        if (keeps) kept.push_back(point);
    }
    if (kept.size() > most_points) kept.erase(kept.begin());
    if (!kept.empty()) kept.front().begins = true;
    points_ = std::move(kept);
}

void GasRecord::distrust() {
    if (points_.empty()) return;
    const std::size_t begin = last_begin();
    distrusted_h_ = points_[begin].hour;
    points_.resize(begin);
}

bool GasRecord::is_live(double now_h) const {
    return !points_.empty() && !points_.back().begins && now_h - points_.back().hour < recording.live_h;
}

std::optional<double> GasRecord::fall(double from_h, double to_h) const {
    if (!is_live(to_h) || points_[last_begin()].hour > from_h) return std::nullopt;
    const auto from = std::ranges::find_if(points_.rbegin(), points_.rend(),
                                           [&](const GasPoint& point) { return point.hour <= from_h; });
    return points_.back().fallen - from->fallen;
}

std::optional<double> GasRecord::recent_fall(double window_h, double now_h) const {
    const auto since = span(now_h);
    return since ? fall(std::max(since->begin_h, now_h - window_h), now_h) : std::nullopt;
}

std::optional<GasRecord::Span> GasRecord::span(double now_h) const {
    if (!is_live(now_h)) return std::nullopt;
    return Span{points_[last_begin()].hour, points_.back().fallen};
}

}  // namespace gyled::estimation::gravity
