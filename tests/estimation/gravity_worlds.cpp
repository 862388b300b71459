#include "tests/estimation/gravity_worlds.hpp"

#include <algorithm>
#include <cmath>

#include "sensors/virtual_vessel/plant/instruments.hpp"
#include "sensors/virtual_vessel/plant/plant.hpp"
#include "sensors/virtual_vessel/plant/random.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::estimation::worlds {
namespace {

using base::Culture;
using base::Quantity;
using virtual_vessel::Random;
using virtual_vessel::Scenario;

double median(std::vector<double> values) {
    std::ranges::sort(values);
    return values[values.size() / 2];
}

double rounded(double value, double to) {
    return std::round(value / to) * to;
}

}  // namespace

double World::hour_within(double distance) const {
    for (std::size_t i = quarters.size(); i-- > 0;)
        if (std::abs(quarters[i].true_sg - terminal_sg) > distance) return hour_of(i + 1);
    return 0.0;
}

double World::hour_of_share(double share) const {
    const double goal = original_sg - share * (original_sg - terminal_sg);
    for (std::size_t i = 0; i < quarters.size(); ++i)
        if (quarters[i].true_sg <= goal) return hour_of(i);
    return hour_of(quarters.size());
}

World from_vessel(const Scenario& scenario) {
    World world;
    world.family = scenario.name;
    world.seed = scenario.seed;
    world.pitched = scenario.begin;
    Random random{scenario.seed, 900};
    world.prior.culture = scenario.culture;
    const double hydrometer = random.happens(0.5) ? 0.0 : 0.001 * random.normal();
    world.prior.original_gravity = scenario.original_gravity + hydrometer;
    world.prior.expected_final_gravity = virtual_vessel::expected_final_gravity(scenario);

    for (const virtual_vessel::Stage& stage : scenario.stages)
        world.plan.push_back({scenario.begin + base::hours(stage.start_hours), stage.temperature_c});

    virtual_vessel::Plant plant{scenario};
    virtual_vessel::Instruments instruments{scenario};
    const auto count = static_cast<std::size_t>(scenario.duration_hours * 4.0);
    world.quarters.resize(count);
    std::vector<std::vector<double>> gravities(count), warmths(count);
    for (std::size_t i = 0; i < count; ++i) {
        plant.advance(std::chrono::minutes{15});
        world.quarters[i].true_sg = plant.truth().sg;
        world.quarters[i].stage = plant.truth().stage;
        for (const virtual_vessel::Sample& sample : instruments.sample(plant)) {
            const double hour = base::hours_between(world.pitched, sample.taken);
            const auto at = static_cast<std::size_t>(std::max(0.0, std::ceil(hour * 4.0 - 1e-9) - 1.0));
            if (at >= count) continue;
            if (sample.quantity == Quantity::gravity) gravities[at].push_back(sample.value);
            if (sample.quantity == Quantity::beer_temperature) warmths[at].push_back(sample.value);
        }
    }
    for (std::size_t i = 0; i < count; ++i) {
        if (!gravities[i].empty())
            world.quarters[i].bin = GravityBin{median(gravities[i]), static_cast<int>(gravities[i].size())};
        if (!warmths[i].empty()) world.quarters[i].beer_c = median(warmths[i]);
    }
    world.original_sg = plant.truth().original_gravity;
    world.terminal_sg = plant.truth().sg;
    for (const virtual_vessel::Trouble& trouble : scenario.troubles) {
        if (trouble.kind == virtual_vessel::TroubleKind::late_creep) world.creeps_h = trouble.start_hours;
        if (trouble.kind != virtual_vessel::TroubleKind::stuck) continue;
        Scenario healthy = scenario;
        healthy.troubles.clear();
        const double drop = scenario.original_gravity - virtual_vessel::Plant{healthy}.truth().terminal_sg;
        const double stuck_sg = scenario.original_gravity - trouble.amount * drop;
        for (std::size_t i = 0; i < count && !world.stopped_h; ++i)
            if (world.quarters[i].true_sg <= stuck_sg) world.stopped_h = World::hour_of(i);
    }
    return world;
}

namespace {

/// Growth rate by the cardinal temperatures of Rosso et al. 1993: none below the least, most at the best.
double cardinal(double t, double least, double best, double most) {
    if (t <= least || t >= most) return 0.0;
    const double above = (t - most) * (t - least) * (t - least);
    const double below =
        (best - least) * ((best - least) * (t - best) - (best - most) * (best + least - 2.0 * t));
    return above / below;
}

}  // namespace

World foreign(std::string_view kind, std::uint64_t seed) {
    Random random{seed, 777};
    World world;
    world.family = "foreign-" + std::string{kind};
    world.seed = seed;
    world.pitched = base::from_unix_seconds(1'772'388'000);
    const bool lager = kind == "lager";
    const bool mixed = kind == "mixed";
    world.prior.culture = lager ? Culture::lager : mixed ? Culture::mixed : Culture::ale;

    const double original = random.between(36.0, 75.0);
    const double gone = mixed   ? random.between(0.84, 0.98)
                        : lager ? random.between(0.74, 0.83)
                                : random.between(0.69, 0.82);
    const double drop = gone * original;
    world.original_sg = 1.0 + original / 1000.0;
    world.prior.original_gravity =
        rounded(world.original_sg + (random.happens(0.4) ? 0.0 : 0.0009 * random.normal()), 0.0005);
    if (random.happens(0.7))
        world.prior.expected_final_gravity =
            rounded(1.0 + (original - drop + 2.2 * random.normal()) / 1000.0, 0.001);

    const double best_c = lager ? 10.5 : random.between(18.0, 21.5);
    const double least_c = lager ? random.between(-1.0, 2.0) : random.between(2.0, 7.0);
    const bool gompertz = random.happens(0.4) && !mixed;
    // Two sugars: rates per hour at the fermentation temperature, with the yeast fully grown.
    const double days = lager ? random.between(6.0, 12.0) : random.between(3.0, 6.5);
    const double fast = random.between(3.0, 4.5) / (24.0 * days) * 1.4;
    const double slow = mixed ? fast * random.between(0.03, 0.08) : fast * random.between(0.25, 0.6);
    const double slow_share = mixed ? random.between(0.08, 0.25) : random.between(0.03, 0.2);
    const double growth = fast * random.between(1.8, 3.5);
    double yeast = random.between(0.01, 0.1);
    double sugar = (1.0 - slow_share) * drop;
    double dextrin = slow_share * drop;
    double enzymes = 0.0;
    const double lag_h = random.between(2.0, lager ? 16.0 : 10.0);
    const double gompertz_rate = random.between(3.6, 4.8) / (24.0 * days);
    double tau = 0.0;
    double eaten = 0.0;

    const double total_days = mixed ? 70.0 : lager ? 26.0 : 16.0;
    const auto count = static_cast<std::size_t>(total_days * 96.0);
    const double sensor_bias = random.happens(0.3) ? 0.0 : 2.0 * random.normal();
    const double drift = kind == "drift" ? random.between(-0.3, 0.3) : random.between(-0.03, 0.03);
    const double noise = random.between(0.2, 1.2);
    const double wander_sigma = random.between(0.0, 0.4);
    const int readings = random.happens(0.5) ? 1 : 3;
    double wander = 0.0;
    const double stuck_share = kind == "stuck" ? random.between(0.35, 0.7) : 2.0;
    const double crash_h = kind == "crash" ? random.between(36.0, 72.0) : 1e9;
    const double creep_h = kind == "creep" ? random.between(9.0, 10.5) * 24.0 : 1e9;
    const double creep_amount = random.between(2.5, 5.0);
    const double gap_h = kind == "outages" ? random.between(20.0, 90.0) : 1e9;
    const double gap_length = random.between(8.0, 30.0);
    const double rest_h = lager ? random.between(5.0, 9.0) * 24.0 : 1e9;
    double alive = 1.0;
    for (std::size_t i = 0; i < count; ++i) {
        const double hour = World::hour_of(i);
        double set_c = best_c;
        if (kind == "warm") set_c += 4.0 * std::clamp((hour - 40.0) / 48.0, 0.0, 1.0);
        if (hour > rest_h) set_c += std::min(5.0, 0.15 * (hour - rest_h));
        if (hour > crash_h && hour < crash_h + 72.0) set_c = 4.0;
        if (!mixed && kind != "creep" && hour > (total_days - 3.0) * 24.0) set_c = 2.0;
        static thread_local double beer_c = 20.0;
        if (i == 0) beer_c = best_c;
        beer_c += 0.25 * 0.2 * (set_c - beer_c);
        const double swing_c = 0.3 * std::sin(2.0 * 3.14159265 * hour / 24.0);
        const double speed = alive * cardinal(beer_c + swing_c, least_c, 1.5 * best_c - 0.5 * least_c, 36.0) /
                             cardinal(best_c, least_c, 1.5 * best_c - 0.5 * least_c, 36.0);
        if (hour > lag_h) tau += 0.25 * speed;
        double left = 0;
        if (gompertz) {
            const double done = std::exp(-std::exp(2.2 - gompertz_rate * 1.3 * tau));
            const double first = std::exp(-std::exp(2.2));
            eaten = drop * (done - first) / (1.0 - first);
            left = original - eaten;
        } else if (hour > lag_h) {
            yeast += 0.25 * speed * growth * yeast * (1.0 - yeast);
            sugar -= sugar * (1.0 - std::exp(-0.25 * speed * fast * yeast));
            dextrin -= dextrin * (1.0 - std::exp(-0.25 * speed * slow * yeast));
        }
        if (!gompertz) left = original - drop + sugar + dextrin;
        if (original - left > stuck_share * drop && alive > 0.01) {
            if (!world.stopped_h) world.stopped_h = hour;
            alive *= 0.8;
        }
        if (hour > creep_h) enzymes += 0.25 * (creep_amount - enzymes) / 40.0;
        left -= enzymes;
        world.quarters.push_back({});
        Quarter& quarter = world.quarters.back();
        quarter.true_sg = 1.0 + left / 1000.0;
        quarter.stage = set_c < 5.0 ? base::StageKind::crash : base::StageKind::ferment;
        quarter.beer_c = rounded(beer_c + swing_c + 0.05 * random.normal(), 0.0625);
        wander += 0.25 / 10.0 * -wander + wander_sigma * std::sqrt(2.0 * 0.25 / 10.0) * random.normal();
        std::vector<double> heard;
        for (int r = 0; r < readings; ++r) {
            double reading = left + sensor_bias + drift * hour / 24.0 + wander + noise * random.normal();
            const double chance = kind == "outliers" ? 0.06 : 0.004;
            if (random.happens(chance))
                reading += random.between(5.0, 40.0) * (random.happens(0.7) ? 1.0 : -1.0);
            heard.push_back(1.0 + reading / 1000.0);
        }
        const bool lost = (hour > gap_h && hour < gap_h + gap_length) || random.happens(0.02);
        if (!lost) quarter.bin = GravityBin{median(heard), readings};
    }
    if (kind == "creep") world.creeps_h = creep_h;
    world.terminal_sg = world.quarters.back().true_sg;
    return world;
}

}  // namespace gyled::estimation::worlds
