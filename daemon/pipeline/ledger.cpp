#include "daemon/pipeline/ledger.hpp"

#include <stdexcept>

namespace gyled::pipeline {
namespace {

/// Drops the oldest beyond the bound; how many went.
template <class T>
std::size_t bound(std::vector<T>& values, std::size_t most) {
    if (values.size() <= most) return 0;
    const std::size_t extra = values.size() - most;
    values.erase(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(extra));
    return extra;
}

bool has_passed(Duration span, std::optional<Timestamp> since, Timestamp now) {
    return !since || now < *since || now - *since >= span;
}

}  // namespace

void Ledger::add(cellar::Effects&& effects) {
    effects.problems.clear();
    effects.answers.clear();
    effects.recalls.clear();
    urgent_ = urgent_ || !effects.transitions.empty() || !effects.notices.empty() || !effects.batches.empty();
    group_.effects.append(std::move(effects));
    bound(group_.effects.estimates, parameters_.estimates_kept_max);
    dropped_ += bound(group_.effects.readings, parameters_.readings_kept_max);
}

void Ledger::add(std::map<std::string, estimation::LearnedCurve>&& learned) {
    for (auto& [culture, curve] : learned) group_.learned.insert_or_assign(culture, std::move(curve));
}

bool Ledger::may_try(Timestamp now) const {
    return store_ok() || has_passed(parameters_.retry_after, last_attempt_, now);
}

bool Ledger::is_due(Timestamp now) const {
    if (empty() || !may_try(now)) return false;
    return urgent_ || group_.effects.readings.size() >= parameters_.readings_at_once ||
           has_passed(parameters_.commit_every, last_commit_, now);
}

std::optional<Group> Ledger::commit(Store& store, Timestamp now) {
    last_attempt_ = now;
    try {
        stored_ += store.write(group_);
    } catch (const std::runtime_error& error) {
        problem_ = error.what();
        return std::nullopt;
    }
    problem_.clear();
    urgent_ = false;
    last_commit_ = now;
    return std::exchange(group_, {});
}

}  // namespace gyled::pipeline
