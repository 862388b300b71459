#pragma once
/// What the rules look at: one vessel at one moment, as the core sees it. Filled by the core, read by the
/// rules; plain values. Pressures are kPa gauge, temperatures degC, times event times in UTC.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/impairment.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/estimation/fact.hpp"
#include "daemon/estimation/gas/relief.hpp"
#include "daemon/estimation/trend/tightness.hpp"

namespace gyled::alarms {

/// The last accepted reading of a quantity, canonical units.
struct Latest {
    double value = 0;
    base::Timestamp at;
    base::Duration stale_after{};  ///< older than this it is no evidence any more; learnt or configured, the
                                   ///< core fills it. Zero: evidence at its own moment only
    friend bool operator==(const Latest&, const Latest&) = default;
};

/// A rate of change, per hour, with its standard error.
struct Slope {
    double per_hour = 0;
    double sigma = 0;
};

/// How the newest readings move. What nobody could know, or nothing asks for here and now, is missing.
struct Movement {
    std::optional<double> target_c;    ///< where the stage takes the temperature: its end, or the nearer edge
                                       ///< of a band that is not reached
    std::optional<Slope> temperature;  ///< degC/h, over the last quarter of an hour
    std::optional<double> warmest_c;   ///< of the last quarter of an hour
    std::optional<Slope> pressure_rise, pressure_fall;  ///< kPa/h, beyond doubt; a fall is negative
    std::optional<double> pressure_before_kpa;          ///< median of the half hour until two minutes ago
    double pressure_noise_kpa = 0;                      ///< scatter of a reading, one sigma
};

struct SensorSilence {
    std::string sensor;
    base::Quantity quantity{};
    std::optional<base::Timestamp> last_at;  ///< nothing: no reading since the watch began
    base::Timestamp watched_since;
    base::Duration silent_after{};  ///< learnt or configured, the core fills it; 0 or less: never silent
};

/// What a plan asks of the vessel that it does not bear.
struct PlanDanger {
    std::string text;           ///< for people, in their units: where, what, and what would fit
    bool is_under_way = false;  ///< of the present stage or the whole batch; else of a later stage
    friend bool operator==(const PlanDanger&, const PlanDanger&) = default;
};

struct Situation {
    base::Timestamp at;
    std::string vessel;       ///< id
    std::string vessel_name;  ///< for people
    std::optional<std::string> batch_name;
    std::optional<base::StageKind> stage;
    std::optional<base::Timestamp> stage_since;
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> head_pressure_set_kpa;  ///< of the spunding valve or regulator
    std::optional<double> relief_kpa;             ///< mark of the relief valve
    /// Openings of the relief valve; nothing when none was seen. With or without a batch.
    std::optional<estimation::gas::ReliefHistory> relief;
    std::optional<base::Band> temperature_band_c;
    std::optional<base::Band> pressure_band_kpa;
    std::optional<double> pressure_limit_kpa;  ///< of the lowest rated part
    std::optional<double> plate_kpa;           ///< what the vessel's plate allows
    std::optional<double> fitting_kpa;         ///< rating of the weakest fitting, where it is known
    double vacuum_limit_kpa = 0;               ///< not above 0; 0: the maker gives none
    double total_volume_l = 0;                 ///< of the vessel, brimful
    double volume_l = 0;                       ///< of the batch; 0: none
    bool is_filled = false;                    ///< with liquor, mash, wort or beer, by the stages entered
    bool found_co2 = false;                    ///< the present stage may have found the vessel full of CO2
    double ambient_kpa = 101.325;              ///< air outside, absolute
    std::optional<PlanDanger> plan_danger;     ///< of the batch's plan, the first that is still to come
    std::optional<double> original_gravity;    ///< as planned or measured
    std::optional<double> room_m3;             ///< of the room around it
    std::optional<double> co2_given_off_l;     ///< into it in the last 12 h, at 0 degC and 101.325 kPa
    Movement movement;                         ///< as of the newest reading
    std::optional<estimation::trend::Tightness> tightness;  ///< of the test under way
    std::map<base::Quantity, Latest> latest;
    base::Estimates estimates;            ///< as of `at`, with limit_time from the fast pressure trend
    bool pressure_trend_known = false;    ///< no limit_time means no rise; else: too little has been seen
    std::vector<estimation::Fact> facts;  ///< of the running batch, revoked ones too
    std::vector<SensorSilence> sensors;   ///< every sensor of the vessel
    bool broker_connected = true;
    /// Else nobody knows what time it is: of a batch, which lives by it, nothing can be judged.
    bool time_is_known = true;
    base::Impairments impairments;  ///< of the watch itself, when it is what is looked at
};

}  // namespace gyled::alarms
