#pragma once
/// What the person told us: vessels as their plates say, batches as planned.

#include <optional>
#include <string>
#include <vector>

#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"

namespace gyled::batch {

using base::Band;
using base::Culture;
using base::Duration;
using base::HeadSpace;
using base::StageKind;
using base::Timestamp;

/// One [[vessel]]. Pressures in kPa gauge.
struct VesselSpec {
    std::string id;
    std::string name;  ///< for people; the id when not given
    double total_volume_l = 0;
    std::optional<double> working_pressure_kpa;  ///< from the vessel's plate
    std::optional<double> relief_pressure_kpa;   ///< set pressure of the relief valve
    std::optional<double> weakest_fitting_kpa;  ///< lowest rating of sight glass, hose, gauge, if lower still
    double vacuum_limit_kpa = 0;                ///< not above 0; 0 when the maker gives none
    double warmest_c = 25;                      ///< worst case if cooling fails
    std::optional<double> room_m3;              ///< of the room around it, for the CO2 in its air
    std::optional<double> heater_kw;  ///< for honest waiting times before the vessel's own rate is learnt

    /// The lowest rated part decides. Nothing when no part's rating is known.
    [[nodiscard]] std::optional<double> lowest_limit_kpa() const;
};

/// What ends a stage. The person's word always does.
struct StageEnd {
    enum class When : std::uint8_t {
        by_hand,
        temperature_reached,
        time_in_band,
        terminal_gravity,
        carbonated
    };
    When when = When::by_hand;
    std::optional<double> temperature_c;  ///< for temperature_reached
    std::optional<Duration> duration;     ///< for time_in_band
};

/// What goes into the boil so long before its end.
struct Addition {
    std::string what;  ///< in the person's words: "bittering hops, 25 g"
    Duration before_end{};
    friend bool operator==(const Addition&, const Addition&) = default;
};

struct StagePlan {
    StageKind kind{};
    std::optional<Timestamp> start;  ///< given in a replay or for a batch already under way
    std::optional<Band> temperature_c;
    std::optional<Band> pressure_kpa;  ///< gauge
    HeadSpace head_space = HeadSpace::vented;
    std::optional<double> head_pressure_kpa;  ///< set point of spunding valve or regulator, gauge
    StageEnd end;
    std::vector<Addition> additions{};  ///< the earliest first; of a stage that ends by time
};

/// One batch file.
struct Plan {
    std::string name;
    std::string vessel;
    double volume_l = 0;
    std::optional<double> original_gravity;
    std::optional<double> expected_final_gravity;
    Culture culture = Culture::ale;
    std::string culture_name;  ///< the person's own name for it; batches of one name learn from each other
    std::optional<double> target_co2_volumes;
    std::vector<StagePlan> stages;  ///< at least one
};

}  // namespace gyled::batch
