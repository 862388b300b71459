#pragma once
/// What is to happen in one world: how it begins, what hands and mishaps do when, what the brewer tells.
/// Plain data and small predicates; the same script plays the same world.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/stage.hpp"
#include "sensors/virtual_vessel/plant/fermentation.hpp"
#include "sensors/virtual_vessel/plant/head_space.hpp"
#include "tests/simulation/pressure/truth/climate.hpp"
#include "tests/simulation/pressure/truth/probes.hpp"

namespace gyled::pressure_worlds {

using base::HeadSpace;
using base::StageKind;

/// A stage as the brewer tells of it; gauge kPa.
struct Told {
    StageKind kind = StageKind::ferment;
    HeadSpace head_space = HeadSpace::vented;
    std::optional<double> set_kpa{};
};

/// What can be turned, opened, shut or go wrong, as it is now.
struct Hands {
    HeadSpace mode = HeadSpace::vented;
    double set_kpa = 0;  ///< gauge, of the spunding valve or the regulator
    bool vent_blocked = false;
    bool supply_shut = false;
    bool lid_open = false;
    double leak_mmol_per_h_kpa = 0;
    double set_c = 19;
    double ramp_c_per_h = 1;
    bool yeast_is_in = true;
    bool pressure_sensor_dead = false;
    bool over = false;  ///< the world ends
};

/// What hands go by.
struct Moment {
    double hours = 0;         ///< since the beginning
    double since_last_h = 0;  ///< since the last act
    double still_h = 0;       ///< since less than half a point was left
    double share_done = 0;    ///< of the fermentation
    double points_left = 0;   ///< 0.001 SG
    double gauge_kpa = 0;
    double co2_volumes = 0;
    bool relief_has_lifted = false;
    double since_lift_h = 0;  ///< since it lifted first
};

/// Acts follow each other: the next one is waited for when the one before is done.
struct Act {
    std::string name;
    std::function<bool(const Moment&)> when;
    std::function<void(Hands&)> deed;
    std::optional<Told> told{};
    bool hydrometer = false;  ///< a sample is taken, read and told
};

struct Script {
    std::string kind;          ///< of world
    std::string variant;       ///< what sets this one apart, for the rows: "air kept"
    std::uint64_t number = 0;  ///< among its kind
    std::uint64_t seed = 0;    ///< of this world's chance

    double vessel_l = 26;
    double beer_l = 21;                     ///< as the brewer reads it
    double beer_scale = 1, head_scale = 1;  ///< truth over what was read
    double elevation_m = 0;
    std::optional<double> working_kpa = 300, relief_kpa = 200;  ///< gauge
    double vacuum_limit_kpa = -5;                               ///< gauge; as told, nothing implodes

    double original_gravity = 1.048;
    base::Culture culture = base::Culture::ale;
    virtual_vessel::Yeast yeast;
    bool fermented_already = false;
    double start_c = 19;
    double start_co2_volumes = 0.02;
    bool air_above = true;
    double expected_error_sg = 0;  ///< what the brewer's expectation of the end is off
    std::optional<double> target_volumes;

    virtual_vessel::SaltingOut salting_out;
    virtual_vessel::Transfer transfer;
    virtual_vessel::Valves valves;
    ClimateDraws climate;
    std::vector<Probe> probes;

    base::Duration begins{};                ///< after the first day of all worlds
    std::shared_ptr<const Script> earlier;  ///< the batch that was in this vessel before, to its end
    bool has_batch = true;
    Told first;
    Hands hands;
    std::vector<Act> acts;
    double longest_h = 40 * 24;
    base::Duration step = std::chrono::minutes{1};
    base::Duration look_every = std::chrono::hours{6};
};

}  // namespace gyled::pressure_worlds
