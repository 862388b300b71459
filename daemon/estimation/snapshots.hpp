#pragma once
/// Snapshots of the fold, so that a late reading costs only the time since it: each quarter for an hour,
/// hourly for six hours, six-hourly for two days, then ever thinner. Their number grows with the logarithm of
/// a batch's age, some 40 at a year. A value; single-threaded.

#include <vector>

#include "daemon/estimation/fold.hpp"

namespace gyled::estimation {

class Snapshots {
public:
    /// `fold`: where the batch began; it is kept for ever.
    explicit Snapshots(Fold fold) { folds_.push_back(std::move(fold)); }

    /// In order of time.
    void add(const Fold& fold);
    /// The last one not after `t`, or the first; later ones are forgotten.
    [[nodiscard]] const Fold& rewind_to(base::Timestamp t);
    [[nodiscard]] base::Timestamp first() const { return folds_.front().at(); }
    [[nodiscard]] std::size_t size() const { return folds_.size(); }

private:
    std::vector<Fold> folds_;
};

}  // namespace gyled::estimation
