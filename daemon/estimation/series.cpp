#include "daemon/estimation/series.hpp"

#include <algorithm>

namespace gyled::estimation {
namespace {

std::int64_t index_of(Timestamp at, Duration width) {
    const auto ms = at.time_since_epoch().count();
    const auto w = width.count();
    return ms >= 0 ? ms / w : -((-ms + w - 1) / w);
}

bool before(const Bin& bin, std::int64_t index) {
    return bin.index < index;
}

}  // namespace

double Bin::middle() const {
    if (count < 3) return sum / count;
    return (sum - min - max) / (count - 2);
}

void BinnedSeries::add(Timestamp at, double value) {
    const std::int64_t index = index_of(at, width_);
    auto place = bins_.end();
    if (!bins_.empty() && bins_.back().index >= index)
        place = std::lower_bound(bins_.begin(), bins_.end(), index, before);
    if (place == bins_.end() || place->index != index) {
        bins_.insert(place, Bin{index, 1, value, value, value});
        return;
    }
    ++place->count;
    place->sum += value;
    place->min = std::min(place->min, value);
    place->max = std::max(place->max, value);
}

std::span<const Bin> BinnedSeries::between(Timestamp from, Timestamp to) const {
    const auto width = width_.count();
    const auto ceil_index = [&](Timestamp t) { return index_of(t + Duration{width - 1}, width_); };
    const auto first = std::lower_bound(bins_.begin(), bins_.end(), ceil_index(from), before);
    const auto last = std::lower_bound(first, bins_.end(), ceil_index(to), before);
    return {first, last};
}

const Bin* BinnedSeries::last_before(Timestamp t) const {
    const auto width = width_.count();
    const auto place =
        std::lower_bound(bins_.begin(), bins_.end(), index_of(t + Duration{width - 1}, width_), before);
    return place == bins_.begin() ? nullptr : &*(place - 1);
}

std::optional<Gathered> gather(std::span<const Bin> bins) {
    if (bins.empty()) return std::nullopt;
    std::vector<double> middles;
    middles.reserve(bins.size());
    std::uint32_t count = 0;
    for (const Bin& bin : bins) {
        middles.push_back(bin.middle());
        count += bin.count;
    }
    const std::size_t half = middles.size() / 2;
    std::nth_element(middles.begin(), middles.begin() + static_cast<std::ptrdiff_t>(half), middles.end());
    double value = middles[half];
    if (middles.size() % 2 == 0) {
        const double below =
            *std::max_element(middles.begin(), middles.begin() + static_cast<std::ptrdiff_t>(half));
        value = (value + below) / 2;
    }
    return Gathered{value, count};
}

}  // namespace gyled::estimation
