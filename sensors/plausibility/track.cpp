#include "sensors/plausibility/track.hpp"

#include <algorithm>

namespace gyled::sensors {
namespace {

std::size_t count_until(std::span<const Past> past, Timestamp at) {
    if (past.empty() || past.back().at <= at) return past.size();  // the ordinary case: a new reading
    const auto after =
        std::upper_bound(past.begin(), past.end(), at, [](Timestamp t, const Past& p) { return t < p.at; });
    return static_cast<std::size_t>(after - past.begin());
}

}  // namespace

std::span<const Past> Track::in_view() const {
    const std::span<const Past> all{past_};
    return all.last(std::min(kept, all.size()));
}

Track::Neighbours Track::around(Timestamp at) const {
    const auto view = in_view();
    const std::size_t until = count_until(view, at);
    Neighbours found;
    if (until > 0) found.before = view[until - 1];
    if (until < view.size()) found.after = view[until];
    return found;
}

bool Track::has(Timestamp at) const {
    const auto before = around(at).before;
    return before && before->at == at;
}

std::optional<Past> Track::latest() const {
    if (past_.empty()) return std::nullopt;
    return past_.back();
}

void Track::forget_after(Timestamp at) {
    past_.resize(count_until(past_, at));
}

void Track::insert(Past reading) {
    const std::size_t until = count_until(past_, reading.at);
    if (until > 0 && past_[until - 1].at == reading.at) return;
    past_.insert(past_.begin() + static_cast<std::ptrdiff_t>(until), reading);
    if (past_.size() == 2 * kept) past_.erase(past_.begin(), past_.end() - kept);
}

}  // namespace gyled::sensors
