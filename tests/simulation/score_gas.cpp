/// What is dissolved, and when it will be enough.

#include <cmath>

#include "daemon/brewing/solubility.hpp"
#include "tests/simulation/looking.hpp"

namespace gyled::simulation {
namespace {

using namespace std::chrono_literals;
using base::HeadSpace;
using base::Quantity;
using virtual_vessel::Truth;

/// Cold beer drinks gas where warm beer gives it off.
std::string phase_of(const Truth& truth) {
    return std::string{base::name(truth.head_space)} + (truth.beer_c < 8 ? ", cold" : "");
}

/// The simple method: the trade's equilibrium of pressure and temperature.
double chart_volumes(const Truth& truth) {
    return brewing::volumes_in_beer(
        truth.beer_c, base::Pressure::from_kpa_absolute(truth.head_pressure_kpa + truth.ambient_kpa));
}

/// Since when something has been so without a break.
class Spell {
public:
    void see(bool is_so, Timestamp at) {
        if (is_so && !is_so_) since_ = at;
        is_so_ = is_so;
    }
    [[nodiscard]] bool lasts(Timestamp at, base::Duration span) const {
        return is_so_ && at - since_ >= span;
    }

private:
    bool is_so_ = false;
    Timestamp since_{};
};

void look_at_content(const World& world, Score& score) {
    std::vector<double> errors, chart_errors;
    bool had_gas = false;
    Spell on_gas, shut;
    for (const Belief& belief : world.beliefs) {
        const Truth& truth = world.truth_at(belief.at);
        if (!base::is_cold_side(truth.stage)) continue;
        on_gas.see(truth.supply_pressure_kpa > 0, belief.at);
        shut.see(truth.head_space == HeadSpace::sealed, belief.at);
        had_gas = had_gas || truth.supply_pressure_kpa > 0;
        const auto* co2 = find(belief, Quantity::co2_volumes);
        if (co2 == nullptr || !is_time_to_look(belief.at)) continue;
        const std::string phase = phase_of(truth);
        score.look("co2_volumes", phase, *co2, truth.co2_volumes);
        errors.push_back(std::abs(co2->value - truth.co2_volumes));
        chart_errors.push_back(std::abs(chart_volumes(truth) - truth.co2_volumes));
        if (on_gas.lasts(belief.at, 72h))
            score.figures.try_emplace("co2 width after 3 d on gas", co2->high - co2->low);
        if (had_gas && shut.lasts(belief.at, 24h)) score.figures["co2 error after shut-in"] = errors.back();
        if (const auto* equilibrium = find(belief, Quantity::co2_equilibrium_volumes))
            score.look("co2_equilibrium_volumes", phase, *equilibrium, truth.co2_equilibrium_volumes);
    }
    if (errors.empty()) return;
    score.figures["co2 error"] = median(std::move(errors));
    score.figures["co2 error, chart"] = median(std::move(chart_errors));
}

/// Carbonated: first truly within 0.05 of the target.
void look_at_forecast(const World& world, Score& score) {
    const double enough = world.scenario.target_co2_volumes - 0.05;
    const auto truly = first_when(world, [&](const Truth& truth) { return truth.co2_volumes >= enough; });
    if (!truly) return;
    for (const Belief& belief : world.beliefs)
        if (const auto* when = find(belief, Quantity::carbonated_time);
            when && belief.at < *truly && is_time_to_look(belief.at))
            score.look("carbonated_time", phase_of(world.truth_at(belief.at)), *when,
                       base::unix_seconds(*truly));
}

}  // namespace

void score_gas(const World& world, Score& score) {
    look_at_content(world, score);
    look_at_forecast(world, score);
}

}  // namespace gyled::simulation
