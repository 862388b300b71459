#pragma once
/// What the rules look at: one vessel at one moment, as the core sees it.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/brewing/batch.hpp"
#include "daemon/brewing/estimate.hpp"
#include "daemon/estimation/fact.hpp"

namespace gyled::alarms {

/// The last accepted reading of a quantity, canonical units (pressures gauge).
struct Latest {
    double value = 0;
    brewing::Timestamp at;
};

struct SensorSilence {
    std::string sensor;
    brewing::Quantity measures{};
    std::optional<brewing::Timestamp> last_at;  ///< nothing: never heard since the watch began
    brewing::Timestamp watched_since;
    brewing::Duration silent_after{};
};

struct Situation {
    brewing::Timestamp at;
    std::string vessel;       ///< id
    std::string vessel_name;  ///< for people
    std::optional<std::string> batch_name;
    std::optional<brewing::StageKind> stage;
    std::optional<brewing::Timestamp> stage_since;
    brewing::HeadSpace head_space = brewing::HeadSpace::vented;
    std::optional<double> head_pressure_set_kpa;  ///< gauge
    std::optional<brewing::Band> temperature_band_c;
    std::optional<brewing::Band> pressure_band_kpa;  ///< gauge
    std::optional<double> pressure_limit_kpa;        ///< gauge, of the lowest rated part
    double vacuum_limit_kpa = 0;                     ///< gauge, not above 0
    std::map<brewing::Quantity, Latest> latest;
    brewing::Estimates estimates;         ///< as of `at`, with limit_time from the fast pressure trend
    std::vector<estimation::Fact> facts;  ///< of the running batch, revoked ones too
    std::vector<SensorSilence> sensors;   ///< every sensor of the vessel
    bool broker_connected = true;
};

}  // namespace gyled::alarms
