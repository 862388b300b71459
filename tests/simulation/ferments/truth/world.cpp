#include "tests/simulation/ferments/truth/world.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::ferment_worlds {

const Quarter& World::at(double hour) const {
    const double place = std::clamp(4 * hour - 1, 0.0, static_cast<double>(quarters.size() - 1));
    return quarters[static_cast<std::size_t>(place + 0.5)];
}

double World::share_done(double hour) const {
    return (original_sg - at(hour).sg) / (original_sg - terminal_sg);
}

std::optional<double> World::hour_of_share(double share) const {
    const double goal = original_sg - share * (original_sg - terminal_sg);
    const auto found = std::ranges::find_if(quarters, [=](const Quarter& q) { return q.sg <= goal; });
    if (found == quarters.end()) return std::nullopt;
    return hour_of(static_cast<std::size_t>(found - quarters.begin()));
}

std::optional<double> World::hour_within(double sg) const {
    // The curve only falls; what creeps away below has been there.
    if (!has_an_end) return std::nullopt;
    const auto found =
        std::ranges::find_if(quarters, [&](const Quarter& q) { return q.sg <= terminal_sg + sg; });
    if (found == quarters.end()) return std::nullopt;
    return hour_of(static_cast<std::size_t>(found - quarters.begin()));
}

}  // namespace gyled::ferment_worlds
