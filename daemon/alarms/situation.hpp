#pragma once
/// What the rules look at: one vessel at one moment, as the core sees it.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/estimate.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/estimation/fact.hpp"

namespace gyled::alarms {

/// The last accepted reading of a quantity, canonical units (pressures gauge).
struct Latest {
    double value = 0;
    base::Timestamp at;
    friend bool operator==(const Latest&, const Latest&) = default;
};

struct SensorSilence {
    std::string sensor;
    base::Quantity measures{};
    std::optional<base::Timestamp> last_at;  ///< nothing: never heard since the watch began
    base::Timestamp watched_since;
    base::Duration silent_after{};
};

struct Situation {
    base::Timestamp at;
    std::string vessel;       ///< id
    std::string vessel_name;  ///< for people
    std::optional<std::string> batch_name;
    std::optional<base::StageKind> stage;
    std::optional<base::Timestamp> stage_since;
    base::HeadSpace head_space = base::HeadSpace::vented;
    std::optional<double> head_pressure_set_kpa;  ///< gauge
    std::optional<base::Band> temperature_band_c;
    std::optional<base::Band> pressure_band_kpa;  ///< gauge
    std::optional<double> pressure_limit_kpa;     ///< gauge, of the lowest rated part
    double vacuum_limit_kpa = 0;                  ///< gauge, not above 0
    std::map<base::Quantity, Latest> latest;
    base::Estimates estimates;            ///< as of `at`, with limit_time from the fast pressure trend
    std::vector<estimation::Fact> facts;  ///< of the running batch, revoked ones too
    std::vector<SensorSilence> sensors;   ///< every sensor of the vessel
    bool broker_connected = true;
};

}  // namespace gyled::alarms
