#include "daemon/app/loss.hpp"

#include <utility>

namespace gyled::app {

std::optional<base::Timestamp> Loss::told_since(std::uint64_t count, base::Timestamp now,
                                                const LossParameters& parameters) {
    if (count > std::exchange(seen_, count)) {
        first_ = first_.value_or(now);
        last_ = now;
    }
    if (last_ && (now - *last_ > parameters.told_for || now < *first_)) first_ = last_ = {};
    return first_;
}

}  // namespace gyled::app
