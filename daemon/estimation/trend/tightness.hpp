#pragma once
/// The tightness test: a vessel shut under pressure, its fall judged by least squares on the gas that is left
/// (pressure decay, temperature compensated). Plain sums: bounded, and a restart goes on where it stood.

#include <optional>

#include "daemon/base/estimate.hpp"
#include "daemon/base/pressure.hpp"

namespace gyled::estimation::trend {

/// What has been seen of one test: the whole memory. Gas is in mol per litre of gas space, less what there
/// was at first.
struct TightnessSums {
    std::optional<base::Timestamp> stage_since;          ///< the stage that it belongs to
    std::optional<base::Timestamp> first, last_counted;  ///< of the readings that count; before there are
                                                         ///< any: from when on they do
    std::optional<base::Timestamp> last;                 ///< newest reading
    double first_gas = 0;                                ///< mol per litre
    double most_gas = 0;                                 ///< mol per litre, at the beginning
    double count = 0, hours = 0, hours2 = 0, gas = 0, gas2 = 0, hours_gas = 0;  ///< sums
    double kpa = 0, celsius = 0;                                                ///< sums: gauge, degC
    friend bool operator==(const TightnessSums&, const TightnessSums&) = default;
};

/// A pressure in the closed vessel, with what else counts.
struct TightnessReading {
    base::Timestamp stage_since;  ///< since when the vessel is said to be shut for the test
    base::Timestamp at;
    double kpa = 0;      ///< gauge
    double celsius = 0;  ///< of the gas, as near as a probe gets
    base::Pressure air;  ///< outside
};

/// Takes it in. Readings of the first quarter of an hour do not count (gas that has been compressed is warm),
/// nor does anything older than the newest, below the least pressure at which a hole shows, or not finite. A
/// rise by more than instruments err begins the test anew: somebody has put gas in.
void add(TightnessSums& sums, const TightnessReading& reading);

struct Tightness {
    base::Estimate kpa_per_hour;        ///< lost, at the mean temperature; below 0: gained
    base::Estimate mol_per_litre_hour;  ///< lost out of each litre of gas
    base::Duration over{};              ///< between first and last reading
    double mean_kpa = 0;                ///< gauge
};
/// What it says so far, with the scatter of the readings, the drift of a transducer, gas that is not quite as
/// warm as the probe and, with `weather_counts` (a gauge transducer and no barometer), the weather. Nothing
/// within the first hour.
[[nodiscard]] std::optional<Tightness> tightness(const TightnessSums& sums, bool weather_counts);

}  // namespace gyled::estimation::trend
