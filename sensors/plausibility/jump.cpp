#include "sensors/plausibility/jump.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace gyled::sensors {

using base::Quantity;
using namespace std::chrono_literals;

double JumpLimit::allowance(Duration between) const {
    return step +
           per_minute *
               std::chrono::duration<double, std::ratio<60>>(std::max(between - grace, Duration{0})).count();
}

std::optional<JumpLimit> jump_limit(Quantity q) {
    switch (q) {
        case Quantity::beer_temperature:
            return JumpLimit{5, 5, 0min};
        case Quantity::jacket_temperature:
            return JumpLimit{10, 10, 0min};  // a steam or glycol valve opens
        case Quantity::room_temperature:
            return JumpLimit{5, 3, 0min};
        case Quantity::gravity:
            return JumpLimit{0.010, 0.1 / (24 * 60), 10min};  // 0.1 a day: wilder than any beer
        default:
            return std::nullopt;
    }
}

bool JumpWatch::agree(const Past& a, const Past& b) const {
    return std::abs(a.value - b.value) <= limit_->allowance(std::chrono::abs(a.at - b.at));
}

bool JumpWatch::refuses(const Track::Neighbours& neighbours, Past reading) {
    const auto& [before, after] = neighbours;
    if (!limit_ || (!before && !after)) return false;
    if ((before && agree(*before, reading)) || (after && agree(*after, reading))) {
        if (!after) doubts_ = 0;
        return false;
    }
    const auto doubted_end = doubted_.begin() + static_cast<std::ptrdiff_t>(doubts_);
    const auto delivered_again = [&](const Past& doubted) { return doubted.at == reading.at; };
    if (std::any_of(doubted_.begin(), doubted_end, delivered_again)) return true;
    if (doubts_ > 0 && !agree(doubted_[doubts_ - 1], reading)) doubts_ = 0;
    if (doubts_ + 1 == enough_agreeing) {
        doubts_ = 0;
        return false;
    }
    doubted_[doubts_++] = reading;
    return true;
}

}  // namespace gyled::sensors
