#include "sensors/plausibility/jump.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::sensors {
namespace {

using namespace std::chrono_literals;
using enum base::Quantity;
using Minutes = std::chrono::duration<double, std::ratio<60>>;

struct Row {
    base::Quantity quantity;
    JumpLimit limit;
};

constexpr double per_day = 1.0 / (24 * 60);  // of a rate per minute

constexpr Row rows[] = {
    {beer_temperature, {.step = 5, .per_minute = 5, .grace = 0min}},  // degC: a kettle on full power
    {jacket_temperature,
     {.step = 10, .per_minute = 10, .grace = 0min}},                  // degC: a steam or glycol valve opens
    {room_temperature, {.step = 5, .per_minute = 3, .grace = 0min}},  // degC: a door opens in winter
    {gravity,
     {.step = 0.010, .per_minute = 0.1 * per_day, .grace = 10min}},  // SG: 0.1 a day is wilder than any beer
};

}  // namespace

double JumpLimit::allowance(Duration between) const {
    return step + per_minute * Minutes{std::max(between - grace, Duration{0})}.count();
}

bool JumpLimit::allows(const Past& a, const Past& b) const {
    return std::abs(a.value - b.value) <= allowance(std::chrono::abs(a.at - b.at));
}

std::optional<JumpLimit> jump_limit(base::Quantity q) {
    for (const Row& row : rows)
        if (row.quantity == q) return row.limit;
    return std::nullopt;
}

bool is_impossible_jump(const JumpLimit& limit, const Track::Neighbours& neighbours, const Past& reading,
                        std::vector<Past>& doubted) {
    const auto& [before, after] = neighbours;
    if (!before && !after) return false;
    if ((before && limit.allows(*before, reading)) || (after && limit.allows(*after, reading))) {
        if (!after) doubted.clear();
        return false;
    }
    const auto delivered_again = [&](const Past& earlier) { return earlier.at == reading.at; };
    if (std::any_of(doubted.begin(), doubted.end(), delivered_again)) return true;
    if (!doubted.empty() && !limit.allows(doubted.back(), reading)) doubted.clear();
    if (doubted.size() + 1 >= readings_that_move_the_level) {
        doubted.clear();
        return false;
    }
    doubted.push_back(reading);
    return true;
}

}  // namespace gyled::sensors
