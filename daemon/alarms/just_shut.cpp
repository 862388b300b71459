#include "daemon/alarms/just_shut.hpp"

#include "daemon/alarms/evidence.hpp"

namespace gyled::alarms {
namespace {

/// Of readings each minute: then 5 kPa an hour stand out of any noise. Yeast that eats a quarter of a point
/// an hour raises it by 8 kPa meanwhile, and comes to no harm.
constexpr Duration gauge_tells_after = std::chrono::minutes{12};

}  // namespace

bool gauge_is_yet_to_tell(const Situation& now) {
    return now.head_space == base::HeadSpace::sealed && now.stage_since &&
           now.at - *now.stage_since < gauge_tells_after && current(now, base::Quantity::head_pressure);
}

}  // namespace gyled::alarms
