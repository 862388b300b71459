// Makes a store for the dashboards to be tried on: make_dashboard_store FILE metric|us|plato
// Two vessels of the Harbour cellar and a hundred days, through the real Store. The figures are only
// plausible.

#include <cmath>
#include <cstdio>
#include <limits>
#include <random>

#include "daemon/storage/store.hpp"

namespace {

using namespace gyled;
using namespace std::chrono_literals;
using base::Duration;
using base::Quantity;
using base::Timestamp;

const Timestamp end_of_story = *base::from_rfc3339("2026-03-15T12:00:00Z");
constexpr auto length = 100 * 24h;

/// A batch that ferments within some four days: 0 at the start, towards 1.
double fermented(Duration since_start) {
    return 1 / (1 + std::exp(-(base::hours_between({}, Timestamp{since_start}) - 40) / 10));
}

class Story {
public:
    Story(storage::Store& store, std::string vessel, Timestamp pitched)
        : store_{store}, vessel_{std::move(vessel)}, pitched_{pitched} {}

    void live() {
        remember_batch();
        for (Timestamp at = end_of_story - length; at < end_of_story;
             at += at < end_of_story - 15 * 24h ? 10min : 2min) {
            if (at > pitched_ + 30h && at < pitched_ + 40h) continue;  // the sensors slept: a gap
            measure(at);
            if (at.time_since_epoch() % 15min == 0min && at >= pitched_) believe(at);
            if (group_.readings.size() > 2000) commit();
        }
        commit();
    }

private:
    void commit() {
        store_.write({.effects = group_, .states = {}, .learned = {}, .sensors = {}});
        group_ = {};
    }
    void measure(Timestamp at) {
        const double done = fermented(at - pitched_);
        const double hours = base::hours_between(pitched_, at);
        reading("probe", Quantity::beer_temperature, at,
                std::round((19 + 1.5 * std::sin(hours / 9)) * 100) / 100);
        reading("jacket", Quantity::jacket_temperature, at, 12 + 3 * std::sin(hours / 3));
        reading("room", Quantity::room_temperature, at, 21);
        reading("pressure", Quantity::head_pressure, at, 20 + 120 * done + noise_(random_));
        reading("gravity", Quantity::gravity, at, 1.038 - 0.027 * done + 0.0005 * noise_(random_));
    }
    void believe(Timestamp at) {
        const double done = fermented(at - pitched_), sg = 1.038 - 0.027 * done;
        const double finish = base::unix_seconds(pitched_ + 90h);
        belief(Quantity::gravity_now, at, {sg, sg - 0.0006, sg + 0.0006});
        belief(Quantity::final_gravity, at, {1.011, 1.010, 1.013});
        belief(Quantity::apparent_attenuation, at, {71 * done, 68 * done, 74 * done + 1});
        belief(Quantity::alcohol_by_volume, at, {3.6 * done, 3.4 * done, 3.7 * done + 0.1});
        belief(Quantity::co2_volumes, at, {0.9 + done, 0.8 + done, 1.1 + done});
        belief(Quantity::co2_equilibrium_volumes, at, {1 + done, 0.9 + done, 1.2 + done});
        belief(Quantity::pressure_headroom, at, {160 - 120 * done, 150 - 120 * done, 170 - 120 * done});
        belief(Quantity::warm_pressure, at, {60 + 120 * done, 50 + 120 * done, 70 + 120 * done});
        belief(Quantity::closed_pressure, at, {1900 - 1860 * done, 1800 - 1780 * done, 2000 - 1940 * done});
        const bool no_end_in_sight = at < pitched_ + 20h;
        belief(Quantity::finish_time, at,
               {finish, finish - 20'000,
                no_end_in_sight ? std::numeric_limits<double>::infinity() : finish + 30'000});
    }
    void remember_batch() {
        using namespace cellar;
        using base::Band;
        using base::StageKind;
        batch::Record batch;
        batch.id = vessel_ + "/1";
        batch.plan.name = "Harbour Mild";
        batch.plan.vessel = vessel_;
        batch.plan.volume_l = 21;
        batch.plan.original_gravity = 1.038;
        batch.plan.target_co2_volumes = 2.1;
        batch::StagePlan ferment, crash, serve;
        ferment.kind = StageKind::ferment;
        ferment.temperature_c = Band{18, 20.5};
        crash.kind = StageKind::crash;
        crash.pressure_kpa = Band{20, 100};
        serve.kind = StageKind::serve;
        batch.plan.stages = {ferment, crash, serve};
        batch.started = pitched_;
        batch.stages = {{.index = 0, .at = pitched_, .why = "by plan", .end_reached = {}},
                        {.index = 1, .at = pitched_ + 100h, .why = "by hand", .end_reached = {}},
                        {.index = 2, .at = pitched_ + 150h, .why = "by hand", .end_reached = {}}};
        if (pitched_ + 60 * 24h < end_of_story) batch.ended = pitched_ + 60 * 24h;

        Effects group;
        group.batches = {batch};
        group.facts = {{.vessel = vessel_,
                        .batch = batch.id,
                        .fact = {.kind = estimation::FactKind::fermentation_started,
                                 .at = pitched_ + 9h,
                                 .evidence = "The gravity fell by 0.4 points in 2 h.",
                                 .revoked = false,
                                 .revoked_at = {},
                                 .revoked_because = ""}}};
        alarms::Transition warm{.alarm = vessel_ + "/temperature_out_of_band/1",
                                .vessel = vessel_,
                                .rule = "temperature_out_of_band",
                                .subject = "",
                                .state = alarms::AlarmState::raised,
                                .priority = alarms::Priority::medium,
                                .at = end_of_story - 5h,
                                .raised_at = end_of_story - 5h,
                                .text = "North is warm: 20.8 °C, the stage asks for 18.0 to 20.5 °C.",
                                .value = 20.8,
                                .limit = 20.5,
                                .title = "North is warm",
                                .annunciated = true};
        group.transitions = {warm};
        warm.state = alarms::AlarmState::normal;
        warm.at += 1h;
        group.transitions.push_back(warm);
        warm.alarm = vessel_ + "/temperature_out_of_band/2";
        warm.state = alarms::AlarmState::raised;
        warm.at = warm.raised_at = end_of_story - 2h;
        group.transitions.push_back(warm);
        store_.write({.effects = group, .states = {}, .learned = {}, .sensors = {}});
    }
    void reading(const char* sensor, Quantity quantity, Timestamp at, double value) {
        group_.readings.push_back({.sensor = vessel_ + '-' + sensor,
                                   .vessel = vessel_,
                                   .quantity = quantity,
                                   .at = at,
                                   .arrived = at,
                                   .value = value});
    }
    void belief(Quantity quantity, Timestamp at, base::Estimate estimate) {
        group_.estimates.push_back({.vessel = vessel_, .quantity = quantity, .at = at, .estimate = estimate});
    }

    storage::Store& store_;
    std::string vessel_;
    Timestamp pitched_;
    cellar::Effects group_;
    std::mt19937 random_{38};
    std::normal_distribution<double> noise_{0, 0.4};
};

batch::VesselSpec vessel(const std::string& id, const std::string& name) {
    batch::VesselSpec spec;
    spec.id = id;
    spec.name = name;
    spec.total_volume_l = 26;
    spec.working_pressure_kpa = 200;
    spec.relief_pressure_kpa = 180;
    spec.vacuum_limit_kpa = -5;
    return spec;
}

}  // namespace

int main(int argc, char** argv) try {
    if (argc != 3) {
        std::fprintf(stderr, "usage: make_dashboard_store FILE metric|us|plato\n");
        return 2;
    }
    const std::string units = argv[2];
    display::Display display = units == "us" ? display::Display::us() : display::Display::metric();
    if (units == "plato") display.gravity = display::GravityUnit::plato;

    storage::Store store{std::string{argv[1]}};
    store.describe({vessel("north", "North"), vessel("it's \"south\"", "South")}, display, "Harbour cellar");
    Story{store, "north", end_of_story - 13 * 24h}.live();
    Story{store, "it's \"south\"", end_of_story - 80 * 24h}.live();
    return 0;
} catch (const std::exception& problem) {
    std::fprintf(stderr, "make_dashboard_store: %s\n", problem.what());
    return 1;
}
