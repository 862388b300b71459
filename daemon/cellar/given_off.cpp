#include "daemon/cellar/given_off.hpp"

#include <algorithm>
#include <chrono>

#include "daemon/alarms/evidence.hpp"
#include "daemon/brewing/balling.hpp"
#include "daemon/brewing/carbon_dioxide.hpp"

namespace gyled::cellar {
namespace {

using base::Quantity;

struct GivenOffParameters {
    base::Duration looked_back = std::chrono::hours{12};  ///< a night: who goes in next was not there
    base::Duration every = std::chrono::hours{1};         ///< belief and pressure move by the hour
};
constexpr GivenOffParameters parameters;

/// Above the beer, as if all of it were CO2.
double in_head_space_l(const alarms::Situation& now, double head_kpa, double celsius) {
    const auto pressure = base::Pressure::from_kpa_absolute(std::max(0.0, now.ambient_kpa + head_kpa));
    if (!(pressure.kpa_absolute() > 0)) return 0;
    return std::max(0.0, now.total_volume_l - now.volume_l) /
           brewing::molar_volume_litres(celsius, pressure) * brewing::normal_molar_volume;
}

std::optional<CarbonDioxideHeld> held(const alarms::Situation& now) {
    const auto gravity = alarms::believed(now, Quantity::gravity_now);
    const auto volumes = alarms::believed(now, Quantity::co2_volumes);
    const auto beer = alarms::current(now, Quantity::beer_temperature);
    const auto head = alarms::current(now, Quantity::head_pressure);
    if (!gravity || !volumes || !beer) return std::nullopt;
    const double head_kpa = head ? head->value : 0;
    return CarbonDioxideHeld{now.at, *gravity,
                             *volumes * now.volume_l + in_head_space_l(now, head_kpa, beer->value)};
}

}  // namespace

void note(CarbonDioxideHistory& history, const alarms::Situation& now) {
    std::erase_if(history, [&](const auto& one) { return now.at - one.at > parameters.looked_back; });
    if (!history.empty() && now.at - history.back().at < parameters.every) return;
    if (const auto present = held(now)) history.push_back(*present);
}

std::optional<double> given_off_l(const CarbonDioxideHistory& history, const alarms::Situation& now) {
    const auto present = held(now);
    if (!present || history.empty() || now.at - history.front().at < parameters.every) return std::nullopt;
    const CarbonDioxideHeld& then = history.front();
    const double original_sg = now.original_gravity.value_or(then.gravity_sg);
    const double made_l =
        brewing::co2_volumes_from_drop({original_sg, then.gravity_sg, present->gravity_sg}) * now.volume_l;
    return std::max(0.0, std::max(0.0, made_l) - (present->litres - then.litres));
}

}  // namespace gyled::cellar
