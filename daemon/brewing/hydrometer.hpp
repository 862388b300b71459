#pragma once
/// A hydrometer in a sample that is not at the temperature it was made for.

#include <limits>

#include "daemon/brewing/water.hpp"

namespace gyled::brewing {

/// What was read, and when the glass would be right.
struct HydrometerReading {
    double sg;                             ///< as read on the stem
    double sample_c;                       ///< the sample's temperature
    double calibrated_at_c = 20.0;         ///< printed on the stem
    double glass_expansion_per_k = 25e-6;  ///< of volume; a density sensor of another make has its own
};

/// The warmest sample that is corrected: above, the correction outgrows what is known about it. Cool the
/// sample.
inline constexpr double hydrometer_sample_c_max = 40.0;

/// SG 20/20 of the sample, taking it to expand like water (Tanaka) and the glass by its own coefficient:
///     SG = reading * rho(Tcal) [1 - gamma (t - Tcal)] / rho(t)
/// For 1.050 on a 20 degC stem: -0.0013 at 10, +0.0024 at 30, +0.0058 at 40 degC. Allow 0.0003 at 10 to 30
/// degC and 0.001 at 40. NaN for samples below 0 or above 40 degC, for a NaN, and for an SG that no sample
/// has (not above 0).
[[nodiscard]] constexpr double sg_from_hydrometer(HydrometerReading read) {
    if (!(read.sample_c >= 0.0 && read.sample_c <= hydrometer_sample_c_max && read.sg > 0.0))
        return std::numeric_limits<double>::quiet_NaN();
    const double warmer_by = read.sample_c - read.calibrated_at_c;
    return read.sg * water_density(read.calibrated_at_c) * (1.0 - read.glass_expansion_per_k * warmer_by) /
           water_density(read.sample_c);
}

/// So far a gravity read from a stem may be wrong, SG: half a division, the meniscus and a bubble or two.
/// Common practice. What the correction leaves comes on top.
inline constexpr double hydrometer_doubt_sg = 0.001;
[[nodiscard]] constexpr double hydrometer_correction_doubt_sg(double sample_c) {
    return sample_c >= 10.0 && sample_c <= 30.0 ? 0.0003 : 0.001;
}

}  // namespace gyled::brewing
