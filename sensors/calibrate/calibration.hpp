#pragma once
/// How the configuration says that a raw number becomes the true one.

#include <cstdint>
#include <utility>
#include <vector>

namespace gyled::sensors {

/// Element, then unit conversion, then polynomial, table and offset. With `on_raw` polynomial and table come
/// before the unit conversion, for a curve that was measured in the sensor's own unit, or from one quantity
/// to another, as from the pressure between two depths to the gravity of what stands between them.
struct Calibration {
    double offset = 0;               ///< added last, in the canonical unit; finite
    std::vector<double> polynomial;  ///< a0 + a1 x + a2 x^2 ...; empty: identity
    /// (raw, true), piecewise linear, raw strictly ascending, at least two; empty: identity
    std::vector<std::pair<double, double>> table;
    /// Transducers, applied first to the raw number.
    enum class Element : std::uint8_t {
        none,
        steinhart_hart,  ///< A, B, C: ohm to degC
        pt100,           ///< R0 in ohm, 100 when none is given: ohm to degC
        ratiometric,     ///< supply in V, full scale in the sensor's unit: V to that unit
        beta,            ///< ohm at 25 degC, beta in K, and the reference temperature in degC when another
    } element = Element::none;
    std::vector<double> element_constants;  ///< as the element says
    bool on_raw = false;
};

}  // namespace gyled::sensors
