#include "daemon/mqtt/rival.hpp"

#include <utility>

namespace gyled::mqtt {

void RivalWatch::connected(SteadyTime now) {
    connected_at_ = now;
}

bool RivalWatch::ended(SteadyTime now, base::Timestamp at, End how) {
    if (at_peace(now)) since_.reset();
    const auto began = std::exchange(connected_at_, std::nullopt);
    const bool was_short = began && now - *began < parameters_.short_life;
    short_lives_ = was_short && how == End::unexplained ? short_lives_ + 1 : 0;
    if (since_ || (how != End::taken_over && short_lives_ < parameters_.short_lives)) return false;
    since_ = at;
    return true;
}

std::optional<base::Timestamp> RivalWatch::since(SteadyTime now) const {
    return at_peace(now) ? std::nullopt : since_;
}

}  // namespace gyled::mqtt
