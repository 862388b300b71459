#include "sensors/plausibility/track.hpp"

#include <algorithm>

namespace gyled::sensors {
namespace {

auto first_after(const std::vector<Past>& past, Timestamp at) {
    if (past.empty() || past.back().at <= at) return past.end();  // the ordinary case: a new reading
    return std::upper_bound(past.begin(), past.end(), at,
                            [](Timestamp t, const Past& p) { return t < p.at; });
}

}  // namespace

Track::Neighbours Track::around(Timestamp at) const {
    const auto after = first_after(past_, at);
    Neighbours found;
    if (after != past_.begin()) found.before = *(after - 1);
    if (after != past_.end()) found.after = *after;
    return found;
}

bool Track::has(Timestamp at) const {
    const auto after = first_after(past_, at);
    return after != past_.begin() && (after - 1)->at == at;
}

std::optional<Past> Track::latest() const {
    if (past_.empty()) return std::nullopt;
    return past_.back();
}

void Track::insert(Past reading) {
    const auto after = first_after(past_, reading.at);
    if (after != past_.begin() && (after - 1)->at == reading.at) return;
    past_.insert(after, reading);
    if (past_.size() == 2 * kept) past_.erase(past_.begin(), past_.end() - kept);
}

}  // namespace gyled::sensors
