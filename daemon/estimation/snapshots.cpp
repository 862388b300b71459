#include "daemon/estimation/snapshots.hpp"

namespace gyled::estimation {
namespace {

using namespace std::chrono_literals;

/// How far apart snapshots may lie that are so old.
base::Duration spacing_at(base::Duration age) {
    if (age <= 1h) return Fold::grid;
    if (age <= 6h) return 1h;
    if (age <= 48h) return 6h;
    return age / 2;  // a reading a month late may cost half a month
}

}  // namespace

void Snapshots::add(const Fold& fold) {
    folds_.push_back(fold);
    for (std::size_t i = 1; i + 1 < folds_.size();) {
        const base::Duration gap = folds_[i + 1].lived_until() - folds_[i - 1].lived_until();
        if (gap <= spacing_at(fold.lived_until() - folds_[i].lived_until()))
            folds_.erase(folds_.begin() + static_cast<std::ptrdiff_t>(i));
        else
            ++i;
    }
}

const Fold& Snapshots::rewind_to(base::Timestamp t) {
    while (folds_.size() > 1 && folds_.back().at() > t) folds_.pop_back();
    return folds_.back();
}

}  // namespace gyled::estimation
